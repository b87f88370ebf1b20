"""By what each category of cost is shared, as the keeper set it: the key, and care weights of its own. Reads only.

Kept among the figures of method: 'sharing <category>' holds the key, 'care <stage> <category>' a weight in thousandths.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from sqlalchemy import Connection, select

from ledger.costs.given import TUB_DAYS, Key, StageFigures
from ledger.records import tables as t
from ledger.records.undone import stands

SHARING = "sharing "
CARE = "care "


def care_name(stage_id: int, category: str) -> str:
    """Name under which the care weight of a stage for one category is kept."""
    return f"{CARE}{stage_id} {category}"


def in_words(conn: Connection, name: str) -> str:
    """Such a name as a keeper reads it: 'care feed PACH adult'; any other as it is."""
    if not name.startswith(CARE):
        return name
    stage, category = name.removeprefix(CARE).split(" ", 1)
    row = conn.execute(
        select(t.species.c.code, t.stage.c.name)
        .join(t.stage, t.stage.c.species_id == t.species.c.id)
        .where(t.stage.c.id == int(stage))
    ).one()
    return f"{CARE}{category} {row.code} {row.name}"


def sharing_keys(conn: Connection) -> dict[str, list[tuple[int, Key]]]:
    """By category, (from day, key) rows in order."""
    found: dict[str, list[tuple[int, Key]]] = defaultdict(list)
    for row in _rows(conn, SHARING):
        key: Key = TUB_DAYS if row.value == TUB_DAYS else "animal-days"
        found[row.name.removeprefix(SHARING)].append((row.from_on.toordinal(), key))
    return found


def care_by_category(conn: Connection) -> dict[str, StageFigures]:
    """By category, dated care weights by (species, position of the stage), in thousandths."""
    places = {row.id: (row.species_id, row.position) for row in conn.execute(select(t.stage))}
    dated: dict[tuple[str, int], tuple[tuple[int, int], ...]] = defaultdict(tuple)
    for row in _rows(conn, CARE):
        stage, category = row.name.removeprefix(CARE).split(" ", 1)
        dated[category, int(stage)] += ((row.from_on.toordinal(), int(row.value)),)
    return {
        category: {places[stage]: rows for (one, stage), rows in dated.items() if one == category}
        for category, _ in dated
    }


def _rows(conn: Connection, prefix: str) -> list[Any]:
    m = t.method.c
    rows = conn.execute(select(m.name, m.value, m.from_on).where(stands(m.operation_id)).order_by(m.from_on, m.id))
    return [row for row in rows if row.name.startswith(prefix)]

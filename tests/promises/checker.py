"""Compares the logs of a hammer's workers with the ledger they left behind, and says what does not add up."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, select

from ledger.records.store import Store
from ledger.records.tables import counter, entry, holding, movement, operation, outcome, sale, sale_line, sale_movement
from tests.promises.hammer import read_log
from tests.promises.methods import SERIES, YEAR


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found, one phrase each; all empty when every promise held."""

    oversold: list[str]
    """Promise 1: more animals out than in."""
    miscounted: list[str]
    """Promise 3: an act that counted twice, or was answered otherwise than it was recorded."""
    unbalanced: list[str]
    """Promise 4: animals that appear or vanish."""
    misnumbered: list[str]
    """Promise 5: gaps or doubles in the numbers."""
    done: int
    """Acts that were answered as recorded."""
    refused: Counter[str]
    """Acts that were answered as not recorded, by kind of refusal."""
    sent_again: int
    """Forms sent again by a worker that was killed before it got its answer."""

    def faults(self) -> list[str]:
        """Everything that was found."""
        return [*self.oversold, *self.miscounted, *self.unbalanced, *self.misnumbered]


def check(store: Store, folder: Path) -> Verdict:
    """Look at the ledger, and at the last line about each deed in the logs, once every worker has ended."""
    lines = [line for path in sorted(folder.glob("worker-*.log")) for line in read_log(path)]
    answers = {line["deed"]["token"]: line for line in lines}
    with store.reading() as conn:
        balances = _balances(conn)
        booked = _booked(conn)
        return Verdict(
            oversold=[f"tub {place} holds {n}" for place, n in balances.items() if n < 0],
            miscounted=_miscounted(conn, answers, booked),
            unbalanced=_unbalanced(conn, balances),
            misnumbered=_misnumbered(conn),
            done=sum(line["what"] == "done" for line in answers.values()),
            refused=Counter(line["why"] for line in answers.values() if line["what"] == "refused"),
            sent_again=sum(line["what"] == "asked" for line in lines) - len(answers),
        )


def _balances(conn: Connection) -> dict[int, int]:
    balances: Counter[int] = Counter(dict.fromkeys(conn.execute(select(holding.c.id)).scalars(), 0))
    moves = select(movement.c.from_holding_id, movement.c.to_holding_id, movement.c.count)
    for source, target, count in conn.execute(moves):
        if target is not None:
            balances[target] += count
        if source is not None:
            balances[source] -= count
    return dict(balances)


def _booked(conn: Connection) -> dict[str, list[tuple[int, int | None, int, str | None]]]:
    """What each token moved: from, to, how many, and the number of its document."""
    booked: dict[str, list[tuple[int, int | None, int, str | None]]] = {}
    rows = conn.execute(
        select(operation.c.token, movement.c.from_holding_id, movement.c.to_holding_id, movement.c.count, sale.c.number)
        .select_from(operation)
        .join(entry, entry.c.operation_id == operation.c.id)
        .join(movement, movement.c.entry_id == entry.c.id)
        .outerjoin(sale_movement, sale_movement.c.movement_id == movement.c.id)
        .outerjoin(sale_line, sale_line.c.id == sale_movement.c.sale_line_id)
        .outerjoin(sale, sale.c.id == sale_line.c.sale_id)
    )
    for token, *moved in rows:
        booked.setdefault(token, []).append((moved[0], moved[1], moved[2], moved[3]))
    booked.pop("opening")
    return booked


def _miscounted(
    conn: Connection,
    answers: dict[str, dict[str, Any]],
    booked: dict[str, list[tuple[int, int | None, int, str | None]]],
) -> list[str]:
    found = []
    for token, line in answers.items():
        deed, rows = line["deed"], booked.get(token, [])
        asked = (deed["source"], deed["target"], deed["count"])
        if line["what"] == "asked":
            found.append(f"{token} was never answered")
        elif line["what"] == "refused" and rows:
            found.append(f"{token} was answered {line['why']} although it is recorded")
        elif line["what"] == "done" and [row[:3] for row in rows] != [asked]:
            found.append(f"{token} was answered as recorded and is there {len(rows)} times")
        elif line["what"] == "done" and (line["number"] or None) != rows[0][3]:
            found.append(f"{token} was told number {line['number']} and has {rows[0][3]}")
    found += [f"{token} is recorded and was never asked" for token in booked.keys() - answers.keys()]
    halves = select(func.count()).select_from(
        select(operation.c.id)
        .outerjoin(outcome)
        .where(outcome.c.id.is_(None), operation.c.token != "opening")
        .subquery()
    )
    answered = conn.execute(select(func.count()).select_from(outcome)).scalar_one()
    if answered and conn.execute(halves).scalar_one():
        found.append("an act is recorded without its answer")
    return found


def _unbalanced(conn: Connection, balances: dict[int, int]) -> list[str]:
    kept: dict[int, int] = dict(conn.execute(select(holding.c.id, holding.c.count)).all())
    found = [f"tub {place}: journal {n}, holding {kept[place]}" for place, n in balances.items() if n != kept[place]]

    def total(*conditions: Any) -> int:
        return int(conn.execute(select(func.coalesce(func.sum(movement.c.count), 0)).where(*conditions)).scalar_one())

    came = total(movement.c.from_holding_id.is_(None))
    went = total(movement.c.to_holding_id.is_(None))
    sold = int(conn.execute(select(func.coalesce(func.sum(sale_line.c.count), 0))).scalar_one())
    if came != went + sum(kept.values()):
        found.append(f"{came} came in, {went} went out and {sum(kept.values())} are there")
    if sold != went:
        found.append(f"{went} went out and {sold} are on documents")
    return found


def _misnumbered(conn: Connection) -> list[str]:
    given = sorted(int(number.split("-")[-1]) for number in conn.execute(select(sale.c.number)).scalars())
    last = conn.execute(
        select(counter.c.last).where(counter.c.series == SERIES, counter.c.year == YEAR)
    ).scalar_one_or_none()
    found = []
    if given != list(range(1, len(given) + 1)):
        missing = sorted(set(range(1, given[-1])) - set(given))
        found.append(f"{len(given)} documents up to number {given[-1]}; missing {missing[:5]}")
    if (last or 0) != len(given):
        found.append(f"{len(given)} documents and the counter stands at {last}")
    return found

"""The animal register of a period: who from, when in, sex, age, parents, marks, treatments, when out, to whom.

The common core of what keepers are asked for; one block a lot, each animal of a labelled tub named by it. Reads the
journal and the derivation of origins and decides nothing. What a place asks for is for its rules to say.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import BadInput
from ledger.origin.load import load
from ledger.origin.provenance import ProvenanceRow, provenance
from ledger.origin.service import derive
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.journal import in_parts
from ledger.stock.naming import find_species
from ledger.stock.reasons import REASONS
from ledger.stock.stock_rows import StockRow, stock_on
from ledger.stock.story import End, MovementRow, movement_rows
from ledger.stock.words import by_sex, tub_order
from ledger.wording import say

SPECIMEN = "specimen"


@dataclass(frozen=True, slots=True)
class InOrOut:
    """Animals of a lot that came or went in one act."""

    on: dt.date
    since: dt.date | None
    """First day of a range of days."""
    came: bool
    """False: they went."""
    what: str
    """bought, hatched here, sold, died, split off, ..."""
    count: int
    by_sex: str
    """males.females.unsexed."""
    stage: str
    tubs: tuple[str, ...]
    who: str
    """From whom, or to whom; empty if nobody is on record."""
    paper: str
    """Number of the sale, or the code of the other lot."""
    note: str


@dataclass(frozen=True, slots=True)
class Alive:
    """Animals of a lot in one stage on a day."""

    stage: str
    count: int
    by_sex: str
    tubs: tuple[str, ...]
    """Labelled ones."""


@dataclass(frozen=True, slots=True)
class RegisterLot:
    """One lot in the register."""

    code: str
    common: str
    scientific: str
    started_from: dt.date
    started_on: dt.date
    row: ProvenanceRow
    """How it came, origin, evidence, whence and parents, in words."""
    before: tuple[Alive, ...]
    """Alive as the period began."""
    moved: tuple[InOrOut, ...]
    after: tuple[Alive, ...]
    """Alive as it ended."""
    marks: tuple[tuple[dt.date, str], ...]
    treatments: tuple[tuple[dt.date, str], ...]
    """Up to the end of the period."""

    @property
    def count_before(self) -> int:
        """Alive as the period began."""
        return sum(one.count for one in self.before)

    @property
    def count_after(self) -> int:
        """Alive as it ended."""
        return sum(one.count for one in self.after)

    @property
    def came(self) -> int:
        """Animals that came in."""
        return sum(one.count for one in self.moved if one.came)

    @property
    def went(self) -> int:
        """Animals that went."""
        return sum(one.count for one in self.moved if not one.came)

    @property
    def adds_up(self) -> bool:
        """Whether what was there, what came and what went leaves what was there at the end."""
        return self.count_before + self.came - self.went == self.count_after


@dataclass(frozen=True, slots=True)
class Permit:
    """A permit the keeper entered for a species."""

    species: str
    """'sun beetle (Pachnoda marginata)'."""
    text: str
    number: str
    expires_on: dt.date | None


@dataclass(frozen=True, slots=True)
class Register:
    """The register of a period, by species and lot."""

    first: dt.date
    last: dt.date
    lots: tuple[RegisterLot, ...]
    permits: tuple[Permit, ...]
    """Of the species in it, as entered and not ended by the last day."""


def register(
    conn: Connection, first: dt.date, last: dt.date, *, today: dt.date, species: str | None = None
) -> Register:
    """Everything alive at any time in a period, and how it came and went.

    Args:
        conn: an open reading connection.
        first, last: of the period.
        today: no register reaches beyond it.
        species: code of one species; None: all.

    Raises:
        BadInput: the days are the wrong way round, or still to come.
        NotFound: there is no such species.
    """
    if last < first:
        raise BadInput(
            say("A register cannot end on {last} before it begins on {first}; swap the days.", last=last, first=first),
            "to",
        )
    if last > today:
        raise BadInput(
            say("{last} is still to come; end the register with a day up to {today}.", last=last, today=today), "to"
        )
    kinds = None if species is None else {find_species(conn, species).id}
    before = _living(stock_on(conn, first - dt.timedelta(days=1), species=kinds))
    after = _living(stock_on(conn, last, species=kinds))
    moved = _moved(conn, first, last)
    wanted = _lots(conn, {*before, *after, *moved}, kinds)
    facts = load(conn, list(wanted))
    derived = derive(facts)
    marks, treatments = _facts(conn, wanted, last, "mark"), _facts(conn, wanted, last, "treatment")
    rows = [
        RegisterLot(
            code,
            common,
            scientific,
            started_from,
            started_on,
            provenance(lot_id, facts.lots, derived).rows[0],
            _alive(before.get(lot_id, [])),
            moved.get(lot_id, ()),
            _alive(after.get(lot_id, [])),
            marks.get(lot_id, ()),
            treatments.get(lot_id, ()),
        )
        for lot_id, (_, code, common, scientific, started_from, started_on) in wanted.items()
    ]
    return Register(first, last, tuple(rows), permits(conn, {one[0] for one in wanted.values()}, last))


def permits(conn: Connection, species: Collection[int], on: dt.date) -> tuple[Permit, ...]:
    """Permits entered for species (by id) and not ended by a day; what they allow is not judged."""
    f, k, end = t.species_flag.c, t.species.c, t.species_flag_end.c
    over = select(end.id).where(end.species_flag_id == f.id, end.ended_on <= on, stands(end.operation_id)).exists()
    rows = conn.execute(
        select(k.common, k.scientific, f.text, f.number, f.expires_on)
        .join(t.species, k.id == f.species_id)
        .where(f.kind == "permit", f.species_id.in_(sorted(species)), f.from_on <= on, ~over, stands(f.operation_id))
        .order_by(k.code, f.id)
    )
    return tuple(Permit(_named(row.common, row.scientific), row.text, row.number, row.expires_on) for row in rows)


def _named(common: str, scientific: str) -> str:
    return (
        say("{common} ({scientific})", common=common, scientific=scientific)
        if common and scientific
        else common or scientific
    )


def _living(rows: Iterable[StockRow]) -> dict[int, list[StockRow]]:
    """By lot, without dried specimens."""
    found: dict[int, list[StockRow]] = defaultdict(list)
    for row in rows:
        if row.unit != SPECIMEN:
            found[row.lot_id].append(row)
    return dict(found)


def _alive(rows: Iterable[StockRow]) -> tuple[Alive, ...]:
    stages: dict[tuple[int, str], list[StockRow]] = defaultdict(list)
    for row in rows:
        stages[row.position, row.stage].append(row)
    return tuple(
        Alive(stage, sum(row.count for row in some), _sexes((row.sex, row.count) for row in some), _tubs(some))
        for (_, stage), some in sorted(stages.items())
    )


def _sexes(counted: Iterable[tuple[str, int]]) -> str:
    counts: dict[str, int] = defaultdict(int)
    for sex, count in counted:
        counts[sex] += count
    return by_sex(counts)


def _tubs(rows: Iterable[StockRow]) -> tuple[str, ...]:
    return tuple(sorted({row.tub for row in rows if row.tub}, key=tub_order))


def _lots(
    conn: Connection, ids: Collection[int], kinds: set[int] | None
) -> dict[int, tuple[int, str, str, str, dt.date, dt.date]]:
    lot, kind = t.lot.c, t.species.c
    wanted = (
        select(lot.id, lot.species_id, lot.code, kind.common, kind.scientific, lot.started_from, lot.started_on)
        .join(t.species, kind.id == lot.species_id)
        .order_by(kind.code, lot.code)
    )
    found = [row for part in in_parts(ids) for row in conn.execute(wanted.where(lot.id.in_(part)))]
    found.sort(key=lambda row: (row.common, row.scientific, row.code))
    return {row.id: (*row[1:],) for row in found if kinds is None or row.species_id in kinds}


def _facts(
    conn: Connection, lots: Collection[int], last: dt.date, fact: str
) -> dict[int, tuple[tuple[dt.date, str], ...]]:
    f = t.lot_fact.c
    found: dict[int, list[tuple[dt.date, str]]] = defaultdict(list)
    for part in in_parts(lots):
        rows = select(f.lot_id, f.from_on, f.value).where(
            f.fact == fact, f.lot_id.in_(part), f.from_on <= last, f.value != "", stands(f.operation_id)
        )
        for lot_id, on, value in conn.execute(rows.order_by(f.from_on, f.id)):
            found[lot_id].append((on, value))
    return {lot_id: tuple(rows) for lot_id, rows in found.items()}


# --- what came and went -----------------------------------------------------------------------------------------------


_Key = tuple[dt.date, dt.date | None, bool, str, str, str, str, str]
"""Day, first day of a range, whether it came, what happened, stage, who, paper, note: what makes one act."""


def _moved(conn: Connection, first: dt.date, last: dt.date) -> dict[int, tuple[InOrOut, ...]]:
    """By lot: what came in and went out of the living, each act once, in order."""
    m, e = t.movement.c, t.entry.c
    wanted = select(m.id).join(t.entry, e.id == m.entry_id).where(e.happened_on >= first, e.happened_on <= last)
    ids = list(conn.execute(wanted).scalars())
    rows = [row for part in in_parts(ids) for row in movement_rows(conn, movements=part) if row.stands]
    dead = set(conn.execute(select(t.stage.c.id).where(t.stage.c.unit == SPECIMEN)).scalars())
    who = _who(conn, rows)
    acts: dict[int, dict[_Key, list[tuple[End, int]]]] = defaultdict(lambda: defaultdict(list))
    for row in sorted(rows, key=lambda one: (one.happened_on, one.id)):
        source = row.source if row.source is not None and row.source.key.stage_id not in dead else None
        target = row.target if row.target is not None and row.target.key.stage_id not in dead else None
        if source is not None and target is not None and source.key.lot_id == target.key.lot_id:
            continue
        for end, other, came in ((source, target, False), (target, source, True)):
            if end is None:
                continue
            person, paper = who.get(row.id, ("", ""))
            what = REASONS[row.reason].done
            number = other.lot if other else paper
            key = (row.happened_on, row.happened_from, came, what, end.stage, person, number, row.note)
            acts[end.key.lot_id][key].append((end, row.count))
    return {lot_id: tuple(_act(key, some) for key, some in found.items()) for lot_id, found in acts.items()}


def _act(key: _Key, some: list[tuple[End, int]]) -> InOrOut:
    on, since, came, what, stage, who, paper, note = key
    return InOrOut(
        on,
        since,
        came,
        what,
        sum(count for _, count in some),
        _sexes((end.key.sex, count) for end, count in some),
        stage,
        tuple(sorted({end.key.tub for end, _ in some if end.key.tub}, key=tub_order)),
        who,
        paper,
        note,
    )


def _who(conn: Connection, rows: Collection[MovementRow]) -> dict[int, tuple[str, str]]:
    """By movement: from or to whom, and the number of the sale."""
    found: dict[int, tuple[str, str]] = {}
    suppliers = _stated_suppliers(conn)
    for row in rows:
        if row.reason in ("bought", "swapped in", "lent in", "opening") and row.target is not None:
            found[row.id] = (suppliers.get(row.target.key.lot_id, ""), "")
    back = {row.id: row.relates_to for row in rows if row.reason == "returned" and row.relates_to is not None}
    entries = {row.entry: row.id for row in rows if row.reason in ("given away", "own use")}
    for part in in_parts([row.id for row in rows if row.source is None]):
        bought = select(t.cost.c.movement_id, t.cost.c.supplier).where(t.cost.c.movement_id.in_(part))
        found |= {number: (name, "") for number, name in conn.execute(bought) if name}
    sold: dict[int, tuple[str, str]] = {}
    for part in in_parts({*(row.id for row in rows), *back.values()}):
        link, line, s = t.sale_movement.c, t.sale_line.c, t.sale.c
        wanted = (
            select(link.movement_id, s.customer_name, s.number)
            .join(t.sale_line, line.id == link.sale_line_id)
            .join(t.sale, s.id == line.sale_id)
            .where(link.movement_id.in_(part))
        )
        sold |= {row.movement_id: (row.customer_name, row.number) for row in conn.execute(wanted)}
    found |= {row.id: sold[row.id] for row in rows if row.id in sold}
    found |= {number: sold[of] for number, of in back.items() if of in sold}
    for part in in_parts(entries):
        g, c = t.giving.c, t.customer.c
        given = select(g.entry_id, c.name).join(t.customer, c.id == g.customer_id).where(g.entry_id.in_(part))
        of_entry = {row.entry_id: row.name for row in conn.execute(given)}
        found |= {row.id: (of_entry[row.entry], "") for row in rows if row.entry in of_entry}
    return found


def _stated_suppliers(conn: Connection) -> dict[int, str]:
    """By lot: the supplier last stated with its origin."""
    f = t.origin_fact.c
    rows = conn.execute(
        select(f.lot_id, f.supplier).where(f.kind == "stated", f.supplier != "").order_by(f.from_on, f.id)
    )
    return {row.lot_id: row.supplier for row in rows}

"""Explanations asked for by name: of a lot, a species, a sale, or of what no animals carried; and two lots compared."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.costs.explain.answers import Answer, LotSide, Other, Versus
from ledger.costs.explain.compare import Side, compare
from ledger.costs.explain.figure import Brood, Carried, Figure, Gone, Reared, amounts
from ledger.costs.explain.inside import entries_inside
from ledger.costs.explain.load import Loaded, load
from ledger.costs.explain.naming import FIXED, Names
from ledger.costs.explain.parts import REST, Key, Part, for_each, rounded
from ledger.costs.explain.split import Axis, axes, explain
from ledger.costs.grid import GRID
from ledger.costs.result import Kind, Shared
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.records.numbers import meant_by
from ledger.records.series import SALES
from ledger.stock.naming import LotRef, find_lot, find_species, stages
from ledger.text import quoted
from ledger.wording import listed, say, strung, word

EACH, CARRIED, LOST, BROOD = "each", "carried", "lost", "brood"
FIGURES = {
    EACH: say("cost per reared adult"),
    CARRIED: say("cost so far"),
    LOST: say("written off"),
    BROOD: say("spent on the next brood"),
}
"""What can be asked of a lot, and what it is called."""
HUNDRED = 100
"""Reared adults that a difference of two lots is also given for: on one it is often less than the smallest coin."""
UNCARRIED = say("spent with no animals to carry it")
BEFORE = say("what was spent before the ledger was opened is not known and not in it")


def explain_lot(
    conn: Connection,
    lot: str,
    on: dt.date,
    *,
    figure: str | None = None,
    stage: str | None = None,
    by: str = Axis.CATEGORY,
    inside: Key | None = None,
) -> Answer:
    """A figure of a lot and its parts.

    Args:
        conn: an open reading connection.
        lot: its code.
        on: the last day that counts, by accounting date.
        figure: one of `FIGURES`; `None`: cost per reared adult where there is one, else the cost so far.
        stage: only what the animals at this stage carry; with 'carried' alone.
        by: one of the `axes` of the answer.
        inside: key of one of its parts by that: then what was bought that is in this part alone.

    Raises:
        NotFound: no such lot or stage.
        BadInput: no such figure or axis, or a stage without 'carried'.
        Refused: there is no such figure of this lot, and why.
    """
    found = find_lot(conn, lot)
    if figure is not None and figure not in FIGURES:
        raise BadInput(
            say(
                "{figure} is no figure of a lot; choose {figures}.",
                figure=quoted(figure),
                figures=listed(tuple(FIGURES), "or"),
            ),
            "figure",
        )
    if stage is not None and figure not in (None, CARRIED):
        raise BadInput(say("A stage goes with what the animals carry; leave the stage or the figure out."), "stage")
    loaded = load(conn, on)
    plain = loaded.journal.shared()
    reared = Reared(frozenset({found.id}))
    why = _no_each(found, reared, plain)
    kinds: dict[str, Figure] = {
        EACH: reared,
        CARRIED: Carried(reared.lots, None if stage is None else _stage(conn, found, stage)),
        LOST: Gone(frozenset({Kind.WRITTEN_OFF}), reared.lots),
        BROOD: Brood(found.id),
    }
    asked = figure or (EACH if stage is None and not why else CARRIED)
    if asked == EACH and why:
        raise Refused(say("{why}; ask for the cost so far (--figure carried).", why=why), field="lot")
    about = (
        say("lot {lot}, {stage}", lot=found.code, stage=word(stage)) if stage else say("lot {code}", code=found.code)
    )
    unknown = found.id in plain.not_known | plain.mixed
    answer = _answer(conn, loaded, plain, kinds[asked], by, about, FIGURES[asked], unknown, inside)
    return replace(
        answer,
        asked=asked,
        figures=tuple(name for name, one in kinds.items() if any(amounts(one, plain)) and not (name == EACH and why)),
        others=() if why else _others(loaded, plain, found),
        no_each=why,
    )


def explain_species(
    conn: Connection, species: str, on: dt.date, *, by: str = Axis.CATEGORY, inside: Key | None = None
) -> Answer:
    """Cost per reared adult of a species: of the lots whose whole cost is known.

    Raises:
        NotFound: no such species.
        BadInput: no such axis.
        Refused: none were reared.
    """
    found = find_species(conn, species)
    loaded = load(conn, on)
    plain = loaded.journal.shared()
    own = {lot for lot, info in loaded.journal.lots.items() if info.species == found.id}
    unknown = own & (plain.not_known | plain.mixed)
    figure = Reared(frozenset(own - unknown))
    if figure.number(plain) <= 0:
        raise Refused(
            say("No adults of {code} were reared by then in lots whose whole cost is known.", code=found.code),
            "species",
        )
    about = say("all {code}", code=found.code)
    return _answer(conn, loaded, plain, figure, by, about, FIGURES[EACH], bool(unknown), inside)


def explain_sale(
    conn: Connection, number: str, on: dt.date, *, line: int | None = None, by: str = Axis.CATEGORY
) -> Answer:
    """What the animals of a sale (or of one line of it) had cost when they left; those that came back are taken off.

    Raises:
        NotFound: no such sale or line.
        BadInput: no such axis.
        Refused: its animals have not left.
    """
    rows = conn.execute(
        select(t.sale.c.number, t.sale_line.c.id, t.sale_line.c.position)
        .join(t.sale_line, t.sale_line.c.sale_id == t.sale.c.id)
        .where(t.sale.c.number.in_(meant_by(conn, SALES, number)))
        .order_by(t.sale_line.c.position)
    ).all()
    if not rows:
        raise NotFound(say("There is no sale {number}; rearledger sales lists them.", number=quoted(number)), "sale")
    if line is not None:
        places = [row.position for row in rows]
        rows = [row for row in rows if row.position == line]
        if not rows:
            raise NotFound(
                say(
                    "Sale {number} has no line {line}; it has {places}.",
                    number=number,
                    line=line,
                    places=listed(places, "and"),
                ),
                "line",
            )
    lines = {row.id for row in rows}
    loaded = load(conn, on)
    until = on.toordinal()
    sold = {event.id for event in loaded.journal.events if event.sale_line in lines and event.accounting_on <= until}
    if not sold:
        raise Refused(
            say(
                "The animals of sale {number} have not left by then; they cost nothing as sold yet.",
                number=rows[0].number,
            )
        )
    back = {event.id for event in loaded.journal.events if event.relates_to in sold or event.reverses in sold}
    plain = loaded.journal.shared()
    lots = frozenset(event.lot for event in loaded.journal.events if event.id in sold | back)
    about = (
        say("sale {number}", number=rows[0].number)
        if line is None
        else say("sale {number}, line {line}", number=rows[0].number, line=line)
    )
    return _answer(
        conn,
        loaded,
        plain,
        Gone(frozenset({Kind.LEFT}), lots, frozenset(sold | back)),
        by,
        about,
        say("cost of the animals sold"),
        bool(lots & (plain.not_known | plain.mixed)),
    )


def explain_uncarried(conn: Connection, on: dt.date, *, by: str = Axis.CATEGORY) -> Answer:
    """Costs that no animals carried: there were none in their scope. Raises BadInput: no such axis."""
    loaded = load(conn, on)
    plain = loaded.journal.shared()
    figure = Gone(frozenset({Kind.NO_ANIMALS}))
    return _answer(conn, loaded, plain, figure, by, say("the whole ledger"), UNCARRIED, False)


def compare_lots(conn: Connection, lot: str, against: str, on: dt.date) -> Versus:
    """Why a reared adult of one lot is dearer or cheaper than one of another.

    Raises:
        NotFound: no such lot.
        BadInput: the same lot twice, or lots of two species.
        Refused: one of them has no cost per reared adult, and why.
    """
    one, other = find_lot(conn, lot), find_lot(conn, against)
    if one.id == other.id:
        raise BadInput(say("A lot cannot be compared with itself; name another one."), "against")
    if one.species_id != other.species_id:
        raise BadInput(
            say("{lot} and {other} are of two species; only lots of one are compared.", lot=one.code, other=other.code),
            "against",
        )
    loaded = load(conn, on)
    plain = loaded.journal.shared()
    for ref in (one, other):
        if why := _no_each(ref, Reared(frozenset({ref.id})), plain):
            raise Refused(say("{why}; ask for the cost so far (--figure carried).", why=why), field="lot")
    found = compare(loaded.journal, one.id, other.id)
    names = Names(conn, loaded, (*found.by_category, *found.by_stage))
    return Versus(
        _side(found.one, one.code),
        _side(found.other, other.code),
        found.exact,
        found.shown,
        rounded(found.exact * HUNDRED),
        names.lines(found.causes, HUNDRED),
        names.lines(found.by_category, HUNDRED),
        names.lines(found.by_stage, HUNDRED),
        (
            say("each list adds up to the difference; where two causes act together, each takes half of it (Shapley)"),
            say("lost: died or missing before the reared stage; who left young took their cost along"),
        ),
    )


def _axis(figure: Figure, by: str) -> Axis:
    known = [axis.value for axis in axes(figure)]
    if by not in known:
        raise BadInput(
            say("This figure is not taken apart by {by}; choose {known}.", by=quoted(by), known=listed(known, "or")),
            "by",
        )
    return Axis(by)


def _side(side: Side, code: str) -> LotSide:
    return LotSide(
        code,
        side.each,
        side.shown,
        side.reared,
        side.lost,
        sum(side.came_with.values(), start=side.each * 0),
        sum(side.spent.values(), start=side.each * 0),
        side.bears,
    )


def _stage(conn: Connection, lot: LotRef, stage: str) -> int:
    known = stages(conn, lot.species_id)
    for one in known:
        if one.name.casefold() == stage.strip().casefold():
            return one.position
    names = listed([one.name for one in known], "or")
    raise NotFound(
        say("{code} has no stage {stage}; choose {names}.", code=lot.code, stage=quoted(stage), names=names), "stage"
    )


def _no_each(lot: LotRef, figure: Reared, plain: Shared) -> str:
    """Why a lot has no cost per reared adult, to be gone on with; empty when it has."""
    if lot.id in plain.not_known | plain.mixed:
        return say(
            "There is no cost per reared adult of {code}: what its animals had cost before the ledger was "
            "opened is not known",
            code=lot.code,
        )
    if figure.number(plain) <= 0:
        return say("{code} has reared none by then", code=lot.code)
    return ""


def _answer(
    conn: Connection,
    loaded: Loaded,
    plain: Shared,
    figure: Figure,
    by: str,
    about: str,
    called: str,
    unknown: bool,
    inside: Key | None = None,
) -> Answer:
    axis = _axis(figure, by)
    found = explain(loaded.journal, figure, axis, plain)
    names = Names(conn, loaded, found.parts)
    if inside is not None:
        part = next((at for at, one in enumerate(found.parts) if one.key == inside), None)
        if part is None:
            raise Refused(say("There is no such part of this figure any more."))
        whole = names.lines(found.parts, found.number)[part]
        entries = entries_inside(loaded.journal, figure, axis, found.parts[part], plain)
        return Answer(
            say("{about}, {part}", about=about, part=whole.name),
            called,
            whole.exact,
            whole.shown,
            whole.in_all,
            found.number,
            Axis.ENTRY.value,
            tuple(one.value for one in axes(figure)),
            Names(conn, loaded, entries).lines(entries, found.number, None if found.number is None else whole.in_all),
            tuple(_notes(entries, Axis.ENTRY, unknown)),
        )
    return Answer(
        about,
        called,
        found.exact,
        found.shown,
        found.shown if found.number is None else rounded(found.exact * found.number),
        found.number,
        axis.value,
        tuple(one.value for one in axes(figure)),
        names.lines(found.parts, found.number),
        tuple(_notes(found.parts, axis, unknown)),
    )


def _others(loaded: Loaded, plain: Shared, lot: LotRef) -> tuple[Other, ...]:
    """Lots of its species with a cost per reared adult."""
    found = []
    unknown = plain.not_known | plain.mixed | {lot.id}
    for number in sorted({row.lot for row in plain.reached} - unknown, key=lambda one: loaded.lots[one]):
        figure = Reared(frozenset({number}))
        reared = figure.number(plain)
        if reared > 0 and loaded.journal.lots[number].species == lot.species_id:
            total = Fraction(sum(figure.cost(plain)), GRID)
            found.append(Other(loaded.lots[number], total / reared, for_each(total, reared), reared))
    return tuple(found)


def _notes(parts: Iterable[Part], axis: Axis, unknown: bool) -> Iterable[str]:
    if unknown:
        yield BEFORE
    if axis is Axis.MONTH:
        yield say("a month is when it was borne, not when it was paid; animals bought count in the month they came")
    if any(part.key == REST for part in parts):
        yield strung(FIXED["rest"], ": ")

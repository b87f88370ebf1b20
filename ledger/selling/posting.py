"""Posting sold animals: only now do they leave the stock, and only now is the sale earned.

Until then they stay in their tub under an earmark, which follows them and becomes short if they die.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotEnough, Refused
from ledger.records import tables as t
from ledger.records.lateness import late
from ledger.records.periods import accounting_day
from ledger.selling.commands import PostSale, ReplaceShort
from ledger.selling.costs_of_sale import SellingCostDraft, check_selling_costs, write_selling_costs
from ledger.selling.goodwill import reason_of
from ledger.selling.holds import sweep_lapsed
from ledger.selling.limits import check_degrees, post_limits
from ledger.selling.parts import Part
from ledger.selling.sale import LineOfSale, Sale, find_sale
from ledger.selling.shelf import Shelf
from ledger.selling.writing import link_movements, locked_sale
from ledger.stock import earmarks
from ledger.stock.drafts import ResolvedMove
from ledger.stock.earmarks import Earmark
from ledger.stock.figures import figures
from ledger.stock.moving import write_entry
from ledger.stock.words import animals, stage_words
from ledger.text import clean
from ledger.wording import counted, listed, say, strung

_LAW = say("Carriers and countries have rules of their own for live animals; confirm them on the day.")


@dataclass(frozen=True, slots=True)
class PostPlan:
    """A sale that can be posted."""

    sale: Sale
    on: dt.date
    selling_costs: tuple[SellingCostDraft, ...]
    coldest: int | None
    warmest: int | None
    note: str
    sentence: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Waiting:
    """A line whose animals wait to be posted."""

    line: LineOfSale
    earmark: Earmark

    @property
    def wanted(self) -> int:
        """Animals still to go: credited ones stay."""
        return self.line.animals - self.line.credited

    @property
    def short(self) -> int:
        """How many are lacking."""
        return max(0, self.wanted - self.earmark.now)


def waiting_lines(conn: Connection, sale: Sale) -> list[Waiting]:
    """The lines of a sale that is still to be posted, without those credited whole."""
    k = t.earmark.c
    rows = conn.execute(select(k.sale_line_id, k.id).where(k.sale_line_id.in_([line.id for line in sale.lines])))
    by_line = {row.sale_line_id: row.id for row in rows}
    found = [Waiting(line, earmarks.get(conn, by_line[line.id])) for line in sale.lines if line.id in by_line]
    return [one for one in found if not one.earmark.ended]


def plan_post(conn: Connection, command: PostSale, scene: Scene) -> PostPlan:
    """Check that a sale can be posted.

    Raises:
        NotFound, BadInput: there is no such sale, or the day does not fit.
        Refused: it was posted or credited, or its animals are at a stage that must not travel.
        NotEnough: some have died; says what can be done.
    """
    sale = find_sale(conn, command.sale)
    if command.on > scene.today:
        raise BadInput(say("{on} is still to come; record the posting when it is done.", on=long_day(command.on)), "on")
    if command.on < sale.sold_on:
        raise BadInput(
            say(
                "{number} was sold on {sold_on}; it cannot be posted before.",
                number=sale.number,
                sold_on=long_day(sale.sold_on),
            ),
            "on",
        )
    _check(conn, sale, command.on)
    anyway, cautions = _limits(conn, sale, command)
    what = listed(
        [
            say("{animals} of {lot}", animals=animals(one.wanted, one.line.stage_text), lot=one.line.lot_code)
            for one in waiting_lines(conn, sale)
        ]
    )
    return PostPlan(
        sale,
        command.on,
        check_selling_costs(command.selling_costs),
        command.coldest,
        command.warmest,
        anyway,
        say(
            "{number} posted to {customer}, {on}: {what}.",
            number=sale.number,
            customer=sale.customer_name,
            on=long_day(command.on),
            what=what,
        )
        if sale.customer_name
        else say("{number} posted, {on}: {what}.", number=sale.number, on=long_day(command.on), what=what),
        (_LAW, *late(conn, command.on), *cautions),
    )


def _limits(conn: Connection, sale: Sale, command: PostSale) -> tuple[str, list[str]]:
    """What is noted about the keeper's own limits, and what to know; refuses what lies outside without a reason."""
    check_degrees(command.coldest, command.warmest)
    limits = post_limits(conn)
    outside = limits.against(command.on, command.coldest, command.warmest)
    why = clean(command.anyway, limit=200, field="anyway")
    if outside and not why:
        raise Refused(
            say(
                "{number}: {outside}. Wait for another day, or say why it was posted anyway.",
                number=sale.number,
                outside=strung(outside, "; "),
            ),
            "on",
            {"sale": sale.number, "outside": outside},
        )
    if outside:
        return clean(f"{'; '.join(outside)}; posted anyway: {why}", limit=500, field="anyway"), [
            say("Outside your own limits: {outside}.", outside=strung(outside, "; "))
        ]
    advice = limits.advice(command.coldest, command.warmest)
    return "", [advice] if advice else []


def commit_post(conn: Connection, plan: PostPlan, act: Act) -> Done:
    """Post a sale: its animals leave the stock."""
    sale = locked_sale(conn, plan.sale.id)
    _check(conn, sale, plan.on)
    waiting = waiting_lines(conn, sale)
    taken = [(one, earmarks.take(conn, act, one.earmark.id)) for one in waiting]
    why = reason_of(conn, sale.id)
    moves = [ResolvedMove(why, count, holding, free_only=True) for _, picks in taken for holding, count in picks]
    written = write_entry(conn, act, happened_on=plan.on, moves=moves)
    numbers = iter(written.movement_ids)
    for one, picks in taken:
        link_movements(conn, one.line.id, [next(numbers) for _ in picks])
    conn.execute(
        insert(t.posting).values(
            sale_id=sale.id,
            posted_on=plan.on,
            accounting_on=accounting_day(conn, plan.on),
            entry_id=written.entry_id,
            coldest=plan.coldest,
            warmest=plan.warmest,
            note=plan.note,
            operation_id=act.operation,
        )
    )
    write_selling_costs(conn, act, plan.selling_costs, sale.id, plan.on)
    refs: dict[str, int | str] = {"sale": sale.id, "number": sale.number, "entry": written.entry_id}
    return Done(plan.sentence, refs, plan.cautions)


def _check(conn: Connection, sale: Sale, on: dt.date) -> None:
    facts = {"sale": sale.number}
    if sale.undone:
        raise Refused(
            say("{number} was credited in full; there is nothing to post.", number=sale.number), "sale", facts
        )
    if not sale.to_post:
        raise Refused(
            say("{number} was handed over when it was sold; there is nothing to post.", number=sale.number),
            "sale",
            facts,
        )
    if sale.posted_on is not None:
        raise Refused(
            say("{number} was posted on {posted_on} already.", number=sale.number, posted_on=long_day(sale.posted_on)),
            "sale",
            facts,
        )
    waiting = waiting_lines(conn, sale)
    if not any(one.earmark.now for one in waiting):
        raise NotEnough(
            say("None of the animals of {number} is left; credit it in full.", number=sale.number), "sale", facts
        )
    for one in waiting:
        if one.short:
            raise NotEnough(_short(sale, one), "sale", {**facts, "position": one.line.position, "short": one.short})
    _check_stages(conn, sale, waiting, on)


def _short(sale: Sale, one: Waiting) -> str:
    line = one.line
    short, now = one.short, one.earmark.now
    left = counted(
        now,
        "of {wanted} of {lot} only {n} is left",
        "of {wanted} of {lot} only {n} are left",
        wanted=animals(one.wanted, line.stage_text),
        lot=line.lot_code,
    )
    lacking = counted(
        short,
        "{n} is lacking. Replace it from the same lot, credit {n} on that line, or wait.",
        "{n} are lacking. Replace them from the same lot, credit {n} on that line, or wait.",
    )
    return say(
        "{number}, line {position}: {left}, {lacking}",
        number=sale.number,
        position=line.position,
        left=left,
        lacking=lacking,
    )


def _check_stages(conn: Connection, sale: Sale, waiting: list[Waiting], on: dt.date) -> None:
    for lot, stage in must_not_travel(conn, waiting, on):
        raise Refused(
            say(
                "{number}: the animals of {lot} are {stage} now, which must not travel; wait until they have "
                "moved on, hand them over instead, or credit the line.",
                number=sale.number,
                lot=lot,
                stage=stage_words(stage, 2),
            ),
            "sale",
            {"sale": sale.number, "lot": lot, "stage": stage},
        )


def must_not_travel(conn: Connection, waiting: Sequence[Waiting], on: dt.date) -> list[tuple[str, str]]:
    """(lot, stage) of animals waiting to be posted that are at a stage not to post now."""
    known = figures(conn, on)
    h, s = t.holding.c, t.stage.c
    ids = sorted({holding for one in waiting for holding, _ in one.earmark.on})
    rows = conn.execute(
        select(s.species_id, s.id, s.name, t.lot.c.code)
        .select_from(t.holding)
        .join(t.stage, s.id == h.stage_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .where(h.id.in_(ids))
        .order_by(h.id)
    )
    found = [(row.code, row.name) for row in rows if known.yes(row.species_id, row.id, "do not post")]
    return list(dict.fromkeys(found))


# --- in place of animals that died ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ReplacePlan:
    """Animals that can take the place of lacking ones."""

    sale: Sale
    position: int
    part: Part
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_replace(conn: Connection, command: ReplaceShort, scene: Scene) -> ReplacePlan:
    """Check animals that take the place of those of a sale that died before posting.

    They come from the same lot, at the same stage and sex, so that what the line states stays true of them.

    Raises:
        NotFound, BadInput, Refused: nothing is lacking there.
        NotEnough, Ambiguous: no such animals are ready.
    """
    sale = find_sale(conn, command.sale)
    one = _lacking(conn, sale, command.position)
    shelf = Shelf(conn, scene, command.on)
    if command.on > scene.today:
        raise BadInput(say("{on} is still to come.", on=long_day(command.on)), "on")
    line = one.line
    parts = shelf.ready(line.lot_code, one.short, line.stage_text, line.sex_text, command.tub)
    return ReplacePlan(
        sale,
        line.position,
        parts[0],
        say(
            "{number}, line {position}: {short} more {stage_text} of {lot_code} set aside in place of those "
            "that are gone.",
            number=sale.number,
            position=line.position,
            short=one.short,
            stage_text=stage_words(line.stage_text, one.short),
            lot_code=line.lot_code,
        ),
    )


def commit_replace(conn: Connection, plan: ReplacePlan, act: Act) -> Done:
    """Set the replacement aside for the sale.

    Raises:
        Refused: it lacks fewer by now, or waits no longer.
    """
    sweep_lapsed(conn, act, {holding for holding, _ in plan.part.picks})
    sale = locked_sale(conn, plan.sale.id)
    one = _lacking(conn, sale, plan.position)
    if one.short < plan.part.count:
        raise Refused(
            say("{number} lacks only {short} by now; look again and repeat.", number=sale.number, short=one.short),
            "sale",
        )
    Shelf(conn, act.scene, act.scene.today).again([plan.part], ready=True)
    earmarks.add(conn, act, one.earmark.id, plan.part.picks)
    return Done(plan.sentence, {"sale": sale.id, "number": sale.number})


def _lacking(conn: Connection, sale: Sale, position: int) -> Waiting:
    if not sale.waits_for_post:
        raise Refused(
            say("{number} does not wait to be posted; nothing can be replaced in it.", number=sale.number), "sale"
        )
    for one in waiting_lines(conn, sale):
        if one.line.position == position and one.short:
            return one
    raise Refused(
        say("Nothing is lacking on line {position} of {number}.", position=position, number=sale.number),
        "position",
        {"sale": sale.number},
    )

"""Animals kept back, not for sale (deformed, old, future breeders), and given free again."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, Refused
from ledger.records.columns import MOST_ANIMALS
from ledger.stock import earmarks
from ledger.stock.balance import named
from ledger.stock.commands import FreeKept, KeepBack
from ledger.stock.tally import Tally
from ledger.stock.words import animals, place, when
from ledger.text import clean
from ledger.wording import listed, say, strung


@dataclass(frozen=True, slots=True)
class KeepPlan:
    """Animals to be kept back."""

    count: int
    picks: tuple[tuple[int, int], ...]
    why: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_keep(conn: Connection, command: KeepBack, scene: Scene) -> KeepPlan:
    """Check that animals can be kept back: they must be free now.

    Raises:
        NotFound, BadInput, NotEnough, Ambiguous: which animals is not clear, or they are not free.
    """
    tally = Tally(conn, scene)
    lot = tally.lot(command.lot)
    on = tally.day(command.on)
    if type(command.count) is not int or not 1 <= command.count <= MOST_ANIMALS:
        raise BadInput(
            say("The number must be from 1 to {most_animals}.", most_animals=f"{MOST_ANIMALS:,}"), field="count"
        )
    why = clean(command.why, limit=500, field="why")
    if not why:
        raise BadInput(say("Say why they are kept back: deformed, old, future breeders, ..."), field="why")
    which = tally.asked(lot, command.stage, command.sex, command.tub, ("animal", "object", "specimen"))
    chosen = tally.choose(lot, which, command.count, scene.today, free_only=True)
    who = [animals(n, group.stage.name, group.key.sex, group.key.sure) for group, n in chosen]
    tubs = {group.key.tub for group, _ in chosen}
    where = place(lot.code, tubs.pop()) if len(tubs) == 1 else lot.code
    return KeepPlan(
        command.count,
        tuple((group.holding, n) for group, n in chosen if group.holding is not None),
        why,
        say("{where}: {who} kept back ({why}), {when}.", where=where, who=listed(who), why=why, when=when(on)),
    )


def plan_keep_again(conn: Connection, earmark: int, _scene: Scene) -> KeepPlan:
    """Animals that were given free by mistake are kept back again, where they are.

    Raises:
        Refused: none of them are left.
    """
    was = earmarks.get(conn, earmark)
    picks = tuple(earmarks.ended_with(conn, earmark))
    if not picks:
        raise Refused(say("None of those animals are left to be kept back again."), field="earmark")
    words = named(conn, [holding for holding, _ in picks])
    who = listed([strung((words[holding].where, words[holding].some(count))) for holding, count in picks])
    return KeepPlan(
        sum(n for _, n in picks),
        picks,
        was.note,
        say("Taken back: {who} kept back again ({note}).", who=who, note=was.note),
    )


def commit_keep(conn: Connection, plan: KeepPlan, act: Act) -> Done:
    """Set the animals aside."""
    number = earmarks.make(conn, act, "kept", plan.count, plan.picks, note=plan.why)
    return Done(plan.sentence, {"earmark": number}, plan.cautions)


@dataclass(frozen=True, slots=True)
class FreePlan:
    """Kept-back animals to be given free."""

    earmark: int
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_free(conn: Connection, command: FreeKept, scene: Scene) -> FreePlan:
    """Check that an earmark of animals kept back can end.

    Raises:
        NotFound: there is no such earmark.
        Refused: it is of another kind, or has ended.
    """
    on = Tally(conn, scene).day(command.on)
    found = earmarks.get(conn, command.earmark)
    if found.kind != "kept":
        what = say("Earmark {id} is not of animals kept back; post or credit the sale instead.", id=found.id)
        if found.kind == "held":
            what = say("Earmark {id} is not of animals kept back; release the hold instead.", id=found.id)
        raise Refused(what, field="earmark")
    if found.ended:
        raise Refused(say("The animals of earmark {id} were given free already.", id=found.id), field="earmark")
    words = named(conn, [holding for holding, _ in found.on])
    left = [strung((words[holding].where, words[holding].some(count))) for holding, count in found.on]
    who = listed(left or [say("none left")])
    return FreePlan(
        found.id, say("Free again: {who} (kept back: {note}), {when}.", who=who, note=found.note, when=when(on))
    )


def commit_free(conn: Connection, plan: FreePlan, act: Act) -> Done:
    """End the earmark."""
    earmarks.free(conn, act, plan.earmark)
    return Done(plan.sentence, {"earmark": plan.earmark}, plan.cautions)


@dataclass(frozen=True, slots=True)
class KeptRow:
    """Animals that are kept back."""

    earmark: int
    lots: tuple[str, ...]
    words: str
    """'P08/07 2 adults'."""
    why: str


def kept_rows(conn: Connection) -> tuple[KeptRow, ...]:
    """Everything that is kept back, oldest first."""
    found = earmarks.earmarks(conn, "kept")
    known = named(conn, [holding for one in found for holding, _ in one.on])
    return tuple(
        KeptRow(
            one.id,
            tuple(dict.fromkeys(known[holding].lot for holding, _ in one.on)),
            listed(
                [strung((known[holding].where, known[holding].some(count))) for holding, count in one.on]
                or [say("none left")]
            ),
            one.note,
        )
        for one in found
    )

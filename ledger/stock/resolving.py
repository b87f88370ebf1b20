"""From what a keeper says to movements: which animals, where to, for which cause; refused when a word is missing.

Reads only. What a reason asks for by hand is here; what it does to survival, cost and books is in `reasons`.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from ledger.errors import Ambiguous, BadInput, NotFound
from ledger.records.columns import MOST_ANIMALS, MOST_MONEY
from ledger.stock.commands import Move
from ledger.stock.drafts import ResolvedMove
from ledger.stock.finds import FoundAgain, Part, only_stage, place_of_find
from ledger.stock.holdings import Asked, Group, HoldingKey, read_sex, read_tub
from ledger.stock.naming import LotRef, StageRef, match_stage
from ledger.stock.packed import InPack, ask_which_pack, choose_in_pack
from ledger.stock.phrases import Said
from ledger.stock.reasons import CAUSES, Cost, Direction, Reason, Survival, reason
from ledger.stock.tally import Tally
from ledger.stock.words import SURE
from ledger.wording import listed, say, word

_FIXED_CAUSE = {"missing": "unknown", "escaped": "unknown", "culled": "ordinary"}
_ALIVE = frozenset({"animal", "object"})
_ANY = _ALIVE | {"specimen"}
_ONLY_ANIMALS = frozenset({"next stage", "sexed", "sex corrected", "dried", "loan returned"})

Resolved = list[tuple[ResolvedMove, Said]]


def resolve(tally: Tally, lot: LotRef, move: Move, on: dt.date, again: FoundAgain) -> Resolved:
    """The movements one line of a record means.

    Raises:
        NotFound, BadInput: a word means nothing, or something is missing.
        NotEnough: fewer animals are there.
        Ambiguous: several holdings fit.
    """
    why = reason(move.reason)
    _check(move, why)
    if why.direction is Direction.IN:
        return _coming_in(tally, lot, move, on, why, again)
    cause = _cause(move, why)
    if why.direction is Direction.OUT:
        which = _which(tally, lot, move, why)
        return [
            (
                ResolvedMove(
                    move.reason,
                    n,
                    group.holding or group.key,
                    cause=cause,
                    estimated=move.estimated,
                    earmark=pack.earmark if pack else None,
                ),
                Said(
                    move.reason,
                    n,
                    group.stage.name,
                    group.key,
                    group.count,
                    cause=cause,
                    estimated=move.estimated,
                    pack=pack,
                ),
            )
            for group, n, pack in _chosen(tally, lot, which, move, on, why)
        ]
    return _inside(tally, lot, move, on, why, cause)


def _chosen(
    tally: Tally, lot: LotRef, which: Asked, move: Move, on: dt.date, why: Reason
) -> list[tuple[Group, int, InPack | None]]:
    """The animals meant, with the pack they lay in where it was said.

    Those that are lost or go out lay in no pack if none was said; where too few lie in none, it is asked.
    """
    if move.pack:
        return [*choose_in_pack(tally, lot, which, move.pack, move.count, on)]
    found = tally.choose(lot, which, move.count, on)
    if why.direction is Direction.OUT or why.survival is Survival.LOST:
        for group, n in found:
            ask_which_pack(tally.conn, lot, group, n)
    return [(group, n, None) for group, n in found]


def _check(move: Move, why: Reason) -> None:
    if not why.by_hand:
        how = {
            "sold": say("“sold” is not recorded by hand; sell them instead."),
            "returned": say("“returned” is not recorded by hand; credit the sale instead."),
            "goodwill": say("“goodwill” is not recorded by hand; decide the claim instead."),
            "hatched out": say("“hatched out” is not recorded by hand; record that objects hatched instead."),
        }
        other = say(
            "“{reason}” is not recorded by hand; use what is there for it ({done}) instead.",
            reason=word(why.name),
            done=word(why.done),
        )
        raise BadInput(how.get(why.name, other), field="reason")
    if type(move.count) is not int or not 1 <= move.count <= MOST_ANIMALS:
        raise BadInput(
            say("The number must be from 1 to {most_animals}.", most_animals=f"{MOST_ANIMALS:,}"),
            field="count",
            facts={"count": move.count},
        )
    if move.value is not None:
        if why.cost is not Cost.PRICE:
            raise BadInput(say("Only animals bought or swapped in have a price; leave it out."), field="value")
        if not 0 <= move.value <= MOST_MONEY:
            raise BadInput(say("The price must be nothing or more, and within reason."), field="value")
    if move.to_sure not in SURE:
        raise BadInput(say("A sex is probable or confirmed."), field="to_sure")
    if (move.relates_to is not None or move.explained) and why.name != "found":
        raise BadInput(say("Only a find can cancel missing animals or an earlier miscount."), field="relates_to")


def _no_pack(move: Move) -> None:
    if move.pack:
        raise BadInput(say("Only animals that are there lie in a pack; leave the pack out."), field="pack")


def _cause(move: Move, why: Reason) -> str | None:
    if why.cost not in (Cost.DEATH, Cost.DRIED):
        if move.cause is not None:
            raise BadInput(
                say("Only a death has a cause; leave it out for “{name}”.", name=word(why.name)), field="cause"
            )
        return None
    fixed = _FIXED_CAUSE.get(why.name)
    cause = move.cause or fixed or "unknown"
    if cause not in CAUSES or (fixed is not None and cause != fixed):
        allowed = [fixed] if fixed else list(CAUSES)
        raise BadInput(
            say("The cause of “{name}” is {allowed}.", name=word(why.name), allowed=listed(map(word, allowed), "or")),
            field="cause",
        )
    return cause


def _which(tally: Tally, lot: LotRef, move: Move, why: Reason) -> Asked:
    """The animals asked for; dead specimens are never meant by what happens to the living."""
    lost = why.survival is Survival.LOST
    units = frozenset({"animal"}) if why.name in _ONLY_ANIMALS else _ALIVE if lost else _ANY
    which = tally.asked(lot, move.stage, move.sex, move.tub, units)
    if which.stage is not None and which.stage.unit not in units:
        names = {"stage": word(which.stage.name), "lot": lot.code, "reason": word(why.name)}
        raise BadInput(
            say("{stage} of {lot} cannot be “{reason}”; record that they hatched instead.", **names)
            if which.stage.unit == "object"
            else say("{stage} of {lot} cannot be “{reason}”; give them away or use them yourself instead.", **names),
            field="stage",
            facts={"lot": lot.code, "stage": which.stage.name},
        )
    return which


def _inside(tally: Tally, lot: LotRef, move: Move, on: dt.date, why: Reason, cause: str | None) -> Resolved:
    which = _which(tally, lot, move, why)
    to_stage = match_stage(tally.stages(lot.species_id), move.to_stage, "to_stage") if move.to_stage else None
    to_sex, said_sure = read_sex(move.to_sex)
    sure = "" if to_sex in (None, "unsexed") else said_sure or move.to_sure
    to_tub = read_tub(move.to_tub)
    changes_stage = why.survival in (Survival.TRANSITION, Survival.LOST)
    if to_stage is not None and not changes_stage:
        raise BadInput(
            say("“{name}” does not change the stage; record “next stage” instead.", name=word(why.name)),
            field="to_stage",
        )
    if why.name == "next stage":
        which = _before(lot, which, to_stage)
        if to_sex is not None and which.sex is None:
            which = replace(which, sexes=frozenset({"unsexed", to_sex}))
    elif why.name == "dried":
        to_stage = _specimens(tally, lot, to_stage)
        to_tub = to_tub or ""
    elif why.name == "tub moved":
        if to_tub is None:
            raise BadInput(say("Say which tub they go to."), field="to_tub")
        which = replace(which, other_tub=to_tub)
    else:
        which = _to_be_sexed(tally, lot, which, to_sex, sure, on, first=why.name == "sexed")
    found: Resolved = []
    for group, n, pack in _chosen(tally, lot, which, move, on, why):
        after = to_stage or (_next(tally, lot, group.stage) if why.name == "next stage" else group.stage)
        target = HoldingKey(
            lot.id,
            after.id,
            to_sex or group.key.sex,
            sure if to_sex is not None else group.key.sure,
            group.key.tub if to_tub is None else to_tub,
        )
        if target == group.key:
            raise BadInput(say("Nothing would change by that; say what is different."), field="to_tub")
        resolved = ResolvedMove(
            move.reason,
            n,
            group.holding or group.key,
            target,
            cause=cause,
            estimated=move.estimated,
            earmark=pack.earmark if pack else None,
        )
        said = Said(
            move.reason,
            n,
            group.stage.name,
            group.key,
            group.count,
            after.name if after.id != group.stage.id else None,
            (target.sex, target.sure) if (target.sex, target.sure) != (group.key.sex, group.key.sure) else None,
            target.tub if target.tub != group.key.tub and why.name != "dried" else None,
            cause,
            estimated=move.estimated,
            pack=pack,
        )
        found.append((resolved, said))
    return found


def _before(lot: LotRef, which: Asked, to_stage: StageRef | None) -> Asked:
    if to_stage is None:
        return which
    if to_stage.unit != "animal":
        raise BadInput(
            say("Animals do not move on to {name}; record “dried” for specimens.", name=to_stage.name), field="to_stage"
        )
    if which.stage is not None and which.stage.position >= to_stage.position:
        raise BadInput(
            say(
                "{code}: {stage} does not come before {later}; if a stage was recorded wrongly, take that "
                "movement back.",
                code=lot.code,
                stage=word(which.stage.name),
                later=word(to_stage.name),
            ),
            field="to_stage",
            facts={"lot": lot.code, "stage": which.stage.name, "to_stage": to_stage.name},
        )
    return replace(which, before=to_stage.position)


def _next(tally: Tally, lot: LotRef, stage: StageRef) -> StageRef:
    later = [one for one in tally.stages(lot.species_id) if one.position > stage.position]
    if not later or later[0].unit != "animal":
        raise BadInput(
            say("{name} of {code} is the last stage; nothing comes after it.", name=stage.name, code=lot.code),
            field="stage",
        )
    return later[0]


def _specimens(tally: Tally, lot: LotRef, to_stage: StageRef | None) -> StageRef:
    dried = [stage for stage in tally.stages(lot.species_id) if stage.unit == "specimen"]
    if to_stage is not None:
        dried = [stage for stage in dried if stage.id == to_stage.id]
    if len(dried) == 1:
        return dried[0]
    if dried:
        names = tuple(stage.name for stage in dried)
        raise Ambiguous(
            say("Say which they are kept as: {names}.", names=listed(names, "or")), field="to_stage", choices=names
        )
    raise NotFound(
        say(
            "The species of {code} has no stage for that kind of dried specimen; record that they died instead.",
            code=lot.code,
        ),
        field="to_stage",
    )


def _to_be_sexed(
    tally: Tally, lot: LotRef, which: Asked, to_sex: str | None, sure: str, on: dt.date, *, first: bool
) -> Asked:
    """Animals whose sex is said for the first time (or made sure of), or corrected."""
    if to_sex is None or (first and to_sex == "unsexed"):
        raise BadInput(say("Say which sex they turned out to be."), field="to_sex")
    which = replace(which, other_sex=(to_sex, sure))
    if not first or which.sex is not None:
        if first and which.sex != "unsexed" and which.sure != "probable":
            raise BadInput(say("They are sexed already; record “sex corrected” instead."), field="reason")
        return which
    unsexed = replace(which, sex="unsexed")
    if any(unsexed.fits(group) for group in tally.groups(lot, on)):
        return unsexed
    return replace(which, sure="probable")


def _coming_in(tally: Tally, lot: LotRef, move: Move, on: dt.date, why: Reason, again: FoundAgain) -> Resolved:
    if move.cause is not None:
        raise BadInput(say("Only a death has a cause; leave it out."), field="cause")
    _no_pack(move)
    known = tally.stages(lot.species_id)
    stage_word = move.to_stage or move.stage
    stage = match_stage(known, stage_word) if stage_word else None
    sex, sure = read_sex(move.to_sex or move.sex)
    sure = sure or ("" if sex in (None, "unsexed") else move.to_sure)
    tub = read_tub(move.to_tub if move.to_tub is not None else move.tub)
    if why.name == "found":
        key, stage = place_of_find(tally, lot, Asked(stage, sex, sure or None, tub), on, again)
        parts = again.use(lot, on, move.count, move.relates_to)
    else:
        if stage is None:
            stage = only_stage(lot, known)
        key = HoldingKey(lot.id, stage.id, sex or "unsexed", sure, tub or "")
        parts = [Part(move.count)]
    return [
        (
            ResolvedMove(
                move.reason,
                part.count,
                target=key,
                relates_to=part.missing,
                value=move.value,
                estimated=move.estimated,
                explained=move.explained and part.missing is None,
            ),
            Said(
                move.reason,
                part.count,
                stage.name,
                key,
                value=move.value,
                estimated=move.estimated,
                again=part.since,
            ),
        )
        for part in parts
    ]

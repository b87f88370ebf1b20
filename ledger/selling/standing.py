"""What in one lot can be promised or sold on a day, and why the rest cannot.

Ready means alive, at a saleable stage, hard, of a lot that is for sale, and not set aside for anybody. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, literal_column, select

from ledger.errors import NotEnough, Refused
from ledger.records import tables as t
from ledger.records.later import ORIGINS, recall
from ledger.selling.claims import Claim, claims_in_words, claims_on
from ledger.selling.deadlines import moment_in_words
from ledger.stock.figures import Figures, lot_facts
from ledger.stock.holdings import Asked, Group, choose, groups_of
from ledger.stock.layering import layers_of
from ledger.stock.layers import Readiness, readiness
from ledger.stock.naming import LotRef
from ledger.stock.words import place, sex_words, stage_words
from ledger.wording import counted, listed, say, strung, word


@dataclass(frozen=True, slots=True)
class Standing:
    """The animals of one holding, by what may be done with them on a day."""

    group: Group
    saleable: bool
    ready: int
    """Hard and not set aside, whatever the stage."""
    free: int
    """Not set aside, hard or soft."""
    soft: tuple[tuple[dt.date, int], ...]
    """(day due to be hard, count) of those not set aside, soonest first."""
    claims: tuple[Claim, ...]

    @property
    def holding(self) -> int:
        """The id of the holding."""
        assert self.group.holding is not None
        return self.group.holding


def standing(
    conn: Connection,
    lot: LotRef,
    figures: Figures,
    now: str,
    *,
    own: Collection[int] = (),
    marks: Collection[int] = (),
) -> list[Standing]:
    """What is in a lot now.

    Args:
        conn: a connection.
        lot: the lot.
        figures: in force on the day by which hardness is judged.
        now: moment by which deadlines are judged.
        own: holds whose animals count as free (the one that is taken up).
        marks: earmarks whose animals count as free.
    """
    groups = [group for group in groups_of(conn, lot.id) if group.holding is not None]
    wait = {group.stage.id: figures.hardening_days(lot.species_id, group.stage.id) for group in groups}
    layers = layers_of(conn, _ids(group for group in groups if wait[group.stage.id]))
    claims = claims_on(conn, _ids(group for group in groups if group.free < group.count), now)
    found = []
    for group in groups:
        assert group.holding is not None
        others = tuple(
            claim
            for claim in claims.get(group.holding, ())
            if (claim.hold_id is None or claim.hold_id not in own) and claim.earmark_id not in marks
        )
        aside = sum([claim.count for claim in others])
        saleable = figures.yes(lot.species_id, group.stage.id, "saleable")
        if wait[group.stage.id]:
            state = readiness(layers[group.holding], aside, wait[group.stage.id], figures.on)
        else:
            state = Readiness(max(0, group.count - aside), ())
        found.append(Standing(group, saleable, state.ready, group.count - aside, state.soft, others))
    return found


def _ids(groups: Iterable[Group]) -> list[int]:
    return [group.holding for group in groups if group.holding is not None]


def check_for_sale(conn: Connection, lot: LotRef, on: dt.date) -> None:
    """Refuse animals that are not there to be sold.

    Raises:
        Refused: the lot is breeding, in quarantine, lent out or not ours.
    """
    facts = lot_facts(conn, on, [lot.id])
    purpose = facts.get((lot.id, "purpose"), "sale")
    if purpose == "breeding":
        raise Refused(
            say(
                "{code} is kept for breeding; split off what is to be sold, or set the purpose of the lot to sale.",
                code=lot.code,
            ),
            "lot",
            {"lot": lot.code, "purpose": purpose},
        )
    if purpose == "quarantine":
        raise Refused(
            say("{code} is in quarantine; set its purpose to sale when that is over.", code=lot.code),
            "lot",
            {"lot": lot.code, "purpose": purpose},
        )
    if is_set(facts.get((lot.id, "lent out"), "")):
        raise Refused(say("{code} is lent out; record that it is back first.", code=lot.code), "lot", {"lot": lot.code})
    if lot.id in lent_to_us(conn, [lot.id]):
        raise Refused(
            say(
                "{code} has animals that are lent to us; they are not ours to sell. Send them back to their "
                "owner, or record the rest as a lot of its own.",
                code=lot.code,
            ),
            "lot",
            {"lot": lot.code},
        )


def is_set(value: str) -> bool:
    """Whether a fact that says 'no' or nothing when it does not hold does hold."""
    return value.casefold() not in ("", "no", "back")


# Written out and alone, because only so does a database see that its small index of such movements will do.
_LENT_IN = (
    select(t.movement.c.id, t.movement.c.reverses, t.holding.c.lot_id)
    .join(t.holding, t.holding.c.id == t.movement.c.to_holding_id)
    .where(literal_column("movement.reason = 'lent in'"))
)


def lent_to_us(conn: Connection, lots: Collection[int]) -> set[int]:
    """Those of the lots that others' animals came into, or that were split off or merged from such lots."""
    rows = recall(conn, "lent in", (t.movement.name, ORIGINS), lambda: conn.execute(_LENT_IN).all())
    if not rows:
        return set()
    m, s = t.movement.c, t.lot_source.c
    undone = set(conn.execute(select(m.reverses).where(m.reverses.in_([row.id for row in rows]))).scalars())
    lent = {row.lot_id for row in rows if row.reverses is None and row.id not in undone}
    nearest = lent
    while nearest:
        made = select(s.lot_id).where(s.source_id.in_(sorted(nearest)), s.how != "harvested")
        nearest = set(conn.execute(made).scalars()) - lent
        lent |= nearest
    return lent & set(lots)


@dataclass(frozen=True, slots=True)
class Taken:
    """Animals of one holding that were chosen."""

    standing: Standing
    count: int


def choose_ready(
    lot: LotRef, there: Sequence[Standing], which: Asked, count: int, on: dt.date, today: dt.date
) -> list[Taken]:
    """The animals meant by a sale: ready ones only.

    Raises:
        Refused: what was asked for is not for sale at its stage.
        NotEnough: fewer are ready; says who has the others, or when they are hard.
        Ambiguous: several kinds are ready; the choices say which.
    """
    fit = [one for one in there if which.fits(one.group)]
    for_sale = [one for one in fit if one.saleable]
    if fit and not for_sale:
        stages = listed(sorted({stage_words(one.group.stage.name, 2) for one in fit}))
        raise Refused(
            say(
                "{stages} of {code} are not for sale at that stage; wait until they have moved on, or set the "
                "stage to be saleable.",
                stages=stages,
                code=lot.code,
            ),
            "stage",
            {"lot": lot.code},
        )
    ready = sum([one.ready for one in for_sale])
    if count > sum([one.group.count for one in for_sale]):
        choose(lot.code, [one.group for one in for_sale], which, count, on)
    if count > ready:
        raise not_ready(lot, for_sale, which, count, ready, today)
    offered = [
        Group(one.group.key, one.group.stage, one.group.holding, one.ready, one.ready) for one in for_sale if one.ready
    ]
    by_key = {one.group.key: one for one in for_sale}
    chosen = choose(lot.code, offered, which, count, on)
    return [Taken(by_key[group.key], n) for group, n in chosen]


def choose_free(
    lot: LotRef, there: Sequence[Standing], which: Asked, count: int, on: dt.date, today: dt.date
) -> list[Taken]:
    """The animals meant by a hold: any that nobody else has a claim on, hard or still soft.

    Raises:
        NotEnough: fewer are free; says who has the others until when.
        Ambiguous: several kinds are there; the choices say which.
    """
    fit = [one for one in there if which.fits(one.group)]
    free = sum(one.free for one in fit)
    if count > sum(one.group.count for one in fit):
        choose(lot.code, [one.group for one in fit], which, count, on)
    if count > free:
        raise _claimed(lot, fit, which, count, free, today)
    offered = [replace(one.group, count=one.free, free=one.free) for one in fit if one.free]
    by_key = {one.group.key: one for one in fit}
    return [Taken(by_key[group.key], n) for group, n in choose(lot.code, offered, which, count, on)]


def not_ready(
    lot: LotRef, there: Sequence[Standing], which: Asked, count: int, ready: int, today: dt.date
) -> NotEnough:
    """Why fewer than `count` are ready."""
    total = sum(one.group.count for one in there)
    claims = [claim for one in there for claim in one.claims]
    soft = sorted(due for one in there for due in one.soft)
    why = [claims_in_words(claims, total, today)] if claims else []
    if soft:
        n = sum(number for _, number in soft)
        day = moment_in_words(soft[0][0].isoformat() + "T23:59", today)
        some = say("{n} of the {total}", n=n, total=total) if not claims else str(n)
        why.append(
            counted(
                n,
                "{some} is still soft, the first due to be hard on {day}",
                "{some} are still soft, the first due to be hard on {day}",
                some=some,
                day=day,
            )
        )
    advice = say("Sell fewer") if ready else say("Sell others")
    also = say(", or mark them hard once they have been seen hard and feeding") if soft else say(", or wait")
    return NotEnough(
        say(
            "{place}: {count} {kind} asked for, {ready} ready; {why}. {advice}{also}.",
            place=place(lot.code, which.tub or ""),
            count=count,
            kind=_kind(which, there, count),
            ready=ready,
            why=strung(why, "; "),
            advice=advice,
            also=also,
        ),
        "count",
        {
            "lot": lot.code,
            "asked": count,
            "ready": ready,
            "there": total,
            "claims": tuple(claims),
            "soft": tuple(soft),
        },
    )


def _claimed(lot: LotRef, there: Sequence[Standing], which: Asked, count: int, free: int, today: dt.date) -> NotEnough:
    total = sum(one.group.count for one in there)
    claims = [claim for one in there for claim in one.claims]
    left = counted(free, "hold that one", "hold those {n}") if free else say("choose others")
    return NotEnough(
        say(
            "{place}: {count} {kind} asked for, {free} free; {claims}. Wait, or {left}.",
            place=place(lot.code, which.tub or ""),
            count=count,
            kind=_kind(which, there, count),
            free=free,
            claims=claims_in_words(claims, total, today),
            left=left,
        ),
        "count",
        {"lot": lot.code, "asked": count, "free": free, "there": total, "claims": tuple(claims)},
    )


def _kind(which: Asked, there: Sequence[Standing], count: int) -> str:
    """'L3', 'female adults': in the keeper's words, of what is there when nothing was said."""
    stages = {one.group.stage.name for one in there}
    sexes = {(one.group.key.sex, one.group.key.sure) for one in there}
    noun = stage_words(stages.pop(), count) if len(stages) == 1 else word("animal" if count == 1 else "animals")
    adjective = sex_words(*sexes.pop()) if len(sexes) == 1 else ""
    return strung((adjective, noun)) if adjective else noun

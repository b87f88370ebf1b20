"""Who was with whom, who laid what, and whether an animal was a virgin when it came."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from ledger.act import Act, Done, Scene
from ledger.days import between, long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.origin.commands import EndExposure, Expose, NameParents, SayVirgin
from ledger.origin.facts import AnimalRef, Answer, Exposure, VirginFact
from ledger.origin.load import Facts, ancestry
from ledger.origin.saying import check_day
from ledger.origin.whatif import OriginPlan, what_changes, with_lot
from ledger.records import tables as t
from ledger.stock.figures import lot_fact
from ledger.stock.holdings import read_tub
from ledger.stock.naming import LotRef, find_lot
from ledger.stock.words import place
from ledger.text import clean, clean_block, quoted
from ledger.wording import listed, say, word

_ANSWERS = ("yes", "no", "not known")


@dataclass(frozen=True, slots=True)
class Animal:
    """An animal as a keeper names it: a tub of a lot, or the whole lot."""

    lot: LotRef
    tub: str

    @property
    def ref(self) -> AnimalRef:
        """The same for the derivation."""
        return AnimalRef(self.lot.id, self.tub)

    @property
    def name(self) -> str:
        """'H01/F05'."""
        return place(self.lot.code, self.tub)


def find_animal(conn: Connection, typed: str, field: str, sexes: Iterable[str] = ()) -> Animal:
    """'E01' or 'H01/F05' as lot and tub.

    Args:
        conn: a connection.
        typed: what the keeper wrote.
        field: for the refusal.
        sexes: sexes it can be; empty: any.

    Raises:
        NotFound: there is no such lot or tub.
        BadInput: it has never been of such a sex.
    """
    code, slash, label = typed.partition("/")
    lot = find_lot(conn, code)
    tub = read_tub(label) or "" if slash else ""
    h = t.holding.c
    wanted = select(h.tub, h.sex).where(h.lot_id == lot.id).distinct()
    known = [row for row in conn.execute(wanted) if not tub or row.tub == tub]
    if slash and not (tub and known):
        raise NotFound(
            say("{code} has no tub {label}; look at its tubs.", code=lot.code, label=quoted(label)),
            field,
            {"lot": lot.code},
        )
    can_be = {"unsexed", "hermaphrodite", *sexes}
    if sexes and known and not any(row.sex in can_be for row in known):
        raise BadInput(
            say(
                "{place} has only been {sexes}; name another animal.",
                place=place(lot.code, tub),
                sexes=listed(sorted({word(row.sex) for row in known})),
            ),
            field,
            {"lot": lot.code, "tub": tub},
        )
    return Animal(lot, tub)


def plan_expose(conn: Connection, command: Expose, scene: Scene) -> OriginPlan:
    """Check that a female was with a male.

    Raises:
        NotFound, BadInput: no such animals, not of one species, or the days do not fit.
    """
    female = find_animal(conn, command.female, "female", ("female",))
    male = find_animal(conn, command.male, "male", ("male",))
    if female.lot.species_id != male.lot.species_id:
        raise BadInput(say("{female} and {male} are of different species.", female=female.name, male=male.name), "male")
    if female == male and female.tub and not _holds_both(conn, female):
        raise BadInput(say("{name} cannot be with itself; name two animals.", name=female.name), "male")
    check_day(command.from_on, scene)
    if command.to_on is not None:
        check_day(command.to_on, scene, "to_on")
        _check_order(command.from_on, command.to_on)
    row = {
        "female_lot_id": female.lot.id,
        "female_tub": female.tub,
        "male_lot_id": male.lot.id,
        "male_tub": male.tub,
        "from_on": command.from_on,
        "to_on": command.to_on,
        "witnessed": int(command.witnessed),
        "evidence": clean(command.evidence, limit=500, field="evidence"),
    }
    pair = Exposure(female.ref, male.ref, command.from_on, command.to_on, command.witnessed)
    days = between(command.from_on, command.to_on)
    seen = say(", mating seen") if command.witnessed else ""
    said = say("{female} with {male} {days}{seen}.", female=female.name, male=male.name, days=days, seen=seen)
    if female == male:
        said = say("{lot}: its females with its males {days}{seen}.", lot=female.name, days=days, seen=seen)
    return OriginPlan(
        t.exposure,
        (row,),
        said,
        what_changes(
            conn,
            {female.lot.id, male.lot.id},
            lambda facts: replace(facts, exposures=(*facts.exposures, pair)),
        ),
    )


def _holds_both(conn: Connection, animal: Animal) -> bool:
    """Whether a tub has held more than one sex, so that 'kept together' names two animals."""
    h = t.holding.c
    wanted = select(h.sex).where(h.lot_id == animal.lot.id, h.tub == animal.tub).distinct()
    return len(conn.execute(wanted).all()) > 1


def commit_expose(conn: Connection, plan: OriginPlan, act: Act) -> Done:
    """Write an exposure; answers its number, by which it is ended."""
    row = {**plan.rows[0], "operation_id": act.operation}
    number = conn.execute(insert(t.exposure).values(row).returning(t.exposure.c.id)).scalar_one()
    return Done(plan.sentence, {"exposure": number}, plan.cautions)


def plan_end(conn: Connection, command: EndExposure, scene: Scene) -> OriginPlan:
    """Check that a female and a male were parted.

    Raises:
        NotFound: there is no such exposure.
        Refused, BadInput: it has ended, or the day does not fit.
    """
    x, ended = t.exposure.c, t.exposure_end.c
    row = conn.execute(
        select(
            x.id, x.from_on, x.to_on, x.female_lot_id, x.female_tub, x.male_lot_id, x.male_tub, ended.to_on.label("end")
        )
        .outerjoin(t.exposure_end, ended.exposure_id == x.id)
        .where(x.id == command.exposure)
    ).one_or_none()
    if row is None:
        raise NotFound(
            say("There is no pairing {exposure}; look its number up in the lot.", exposure=command.exposure), "exposure"
        )
    over = row.end or row.to_on
    if over is not None:
        raise Refused(
            say("Pairing {id} ended on {over} already.", id=row.id, over=long_day(over)),
            "exposure",
            {"exposure": row.id},
        )
    check_day(command.to_on, scene, "to_on")
    _check_order(row.from_on, command.to_on)
    female, male = AnimalRef(row.female_lot_id, row.female_tub), AnimalRef(row.male_lot_id, row.male_tub)

    def parted(facts: Facts) -> Facts:
        return replace(
            facts,
            exposures=tuple(
                replace(one, to_on=command.to_on)
                if (one.female, one.male, one.from_on, one.to_on) == (female, male, row.from_on, None)
                else one
                for one in facts.exposures
            ),
        )

    named = select(t.lot.c.id, t.lot.c.code).where(t.lot.c.id.in_([row.female_lot_id, row.male_lot_id]))
    codes = {one.id: one.code for one in conn.execute(named)}
    return OriginPlan(
        t.exposure_end,
        ({"exposure_id": row.id, "to_on": command.to_on},),
        say(
            "{female} and {male} parted, {day}.",
            female=place(codes[row.female_lot_id], row.female_tub),
            male=place(codes[row.male_lot_id], row.male_tub),
            day=long_day(command.to_on),
        ),
        what_changes(conn, {row.female_lot_id, row.male_lot_id}, parted),
        (("exposure", row.id),),
    )


def commit_end(conn: Connection, plan: OriginPlan, act: Act) -> Done:
    """Write the end of an exposure; of two who end it at once the second is refused."""
    row = {**plan.rows[0], "operation_id": act.operation}
    try:
        with conn.begin_nested():
            conn.execute(insert(t.exposure_end).values(row))
    except IntegrityError:
        end = t.exposure_end.c
        if conn.execute(select(end.id).where(end.exposure_id == row["exposure_id"])).scalar() is None:
            raise
        raise Refused(
            say("Pairing {id} has just been ended by somebody else.", id=row["exposure_id"]), "exposure"
        ) from None
    return Done(plan.sentence, dict(plan.refs), plan.cautions)


def _check_order(from_on: dt.date, to_on: dt.date) -> None:
    if to_on < from_on:
        raise BadInput(
            say(
                "They cannot have been together from {from_on} to {to_on}; swap the two days.",
                from_on=long_day(from_on),
                to_on=long_day(to_on),
            ),
            "to_on",
        )


def plan_parents(conn: Connection, command: NameParents, scene: Scene) -> OriginPlan:
    """Check who laid a lot; what is named now takes the place of what was named before.

    Raises:
        NotFound, BadInput: no such animals, not of one species, or the days do not fit.
        Refused: the lot would be among its own ancestors.
    """
    lot = find_lot(conn, command.lot)
    mothers = [find_animal(conn, typed, "mothers", ("female",)) for typed in command.mothers]
    fathers = [find_animal(conn, typed, "fathers", ("male",)) for typed in command.fathers]
    if not mothers and not fathers:
        raise BadInput(say("Name who laid {code}: a lot, or an animal by its tub.", code=lot.code), "mothers")
    _check_parents(conn, lot, [*mothers, *fathers], scene)
    first, last = command.laid_from or command.laid_on, command.laid_on or command.laid_from
    if first is not None and last is not None:
        check_day(last, scene, "laid_on")
        if last < first or last > lot.started_on:
            raise BadInput(
                say(
                    "The laying days must be in order and not after {code} started, {started_on}.",
                    code=lot.code,
                    started_on=long_day(lot.started_on),
                ),
                "laid_on",
            )
    common = {"lot_id": lot.id, "laid_from": first, "laid_on": last}
    evidence = clean(command.evidence, limit=500, field="evidence")
    rows: list[dict[str, Any]] = [
        {**common, "role": role, "parent_lot_id": one.lot.id, "parent_tub": one.tub, "evidence": evidence}
        for role, named in (("mother", mothers), ("father", fathers))
        for one in named
    ]

    def named(facts: Facts) -> Facts:
        known = facts.lots[lot.id]
        return with_lot(
            facts,
            lot.id,
            mothers=tuple(one.ref for one in mothers),
            stated_fathers=tuple(one.ref for one in fathers),
            laid_from=first or known.laid_from,
            laid_to=last or known.laid_to,
        )

    by = [say("mother {name}", name=one.name) for one in mothers] + [
        say("father {name}", name=one.name) for one in fathers
    ]
    laid = say(", laid {last}", last=long_day(last)) if last else ""
    return OriginPlan(
        t.parent,
        tuple(rows),
        say("{code}: {by}{laid}.", code=lot.code, by=listed(by), laid=laid),
        what_changes(conn, [lot.id], named, also={one.lot.id for one in (*mothers, *fathers)}),
        (("lot", lot.code),),
    )


def _check_parents(conn: Connection, lot: LotRef, parents: list[Animal], scene: Scene) -> None:
    for one in parents:
        if one.lot.species_id != lot.species_id:
            raise BadInput(say("{name} is of another species than {code}.", name=one.name, code=lot.code), "mothers")
        if one.lot.id == lot.id:
            if lot_fact(conn, lot.id, "colony", scene.today) != "yes":
                raise Refused(
                    say(
                        "{code} cannot be its own parent, unless it is a colony; record the young as a lot of "
                        "their own.",
                        code=lot.code,
                    ),
                    "mothers",
                )
        elif lot.id in ancestry(conn, [one.lot.id]):
            raise Refused(
                say("{name} comes from {code} itself and cannot be its parent.", name=one.name, code=lot.code),
                "mothers",
            )


def plan_virgin(conn: Connection, command: SayVirgin, scene: Scene) -> OriginPlan:
    """Check what is known of whether an animal was a virgin on arrival; it corrects what was said before.

    Raises:
        NotFound, BadInput: no such animal or answer.
    """
    animal = find_animal(conn, command.animal, "animal")
    if command.value not in _ANSWERS:
        raise BadInput(say("Say {answers}.", answers=listed(_ANSWERS, "or")), "value")
    check_day(command.from_on, scene)
    answer: Answer = "yes" if command.value == "yes" else "no" if command.value == "no" else "not known"
    fact = VirginFact(animal.ref, answer, command.from_on)
    row = {
        "lot_id": animal.lot.id,
        "tub": animal.tub,
        "fact": "virgin on arrival",
        "value": command.value,
        "from_on": command.from_on,
        "note": clean_block(command.note, limit=2000, field="note"),
    }
    words = {
        "yes": say("was a virgin"),
        "no": say("was no virgin"),
        "not known": say("may or may not have been a virgin"),
    }
    return OriginPlan(
        t.animal_fact,
        (row,),
        say(
            "{animal}: {virgin} on arrival, as known on {day}.",
            animal=animal.name,
            virgin=words[answer],
            day=long_day(command.from_on),
        ),
        what_changes(
            conn,
            [animal.lot.id],
            lambda facts: replace(facts, virgin_facts=(*facts.virgin_facts, fact)),
        ),
        (("lot", animal.lot.code),),
    )

"""Setting a dated price of the list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import Currency, said
from ledger.records import tables as t
from ledger.records.columns import FIRST_DAY, LAST_DAY, MOST_ANIMALS, MOST_MONEY
from ledger.records.later import write_one
from ledger.selling.commands import SetPrice
from ledger.selling.customers import KINDS
from ledger.selling.packs import check_unit, counts_by_sex, read_pack
from ledger.stock.figures import figures
from ledger.stock.naming import find_species, match_stage, stages
from ledger.text import clean, count_words
from ledger.wording import say, strung, word

SEXES = ("any", "male", "female", "unsexed")


@dataclass(frozen=True, slots=True)
class PricePlan:
    """A price that can be set."""

    row: dict[str, Any]
    sentence: str
    cautions: tuple[str, ...]


def plan_price(conn: Connection, command: SetPrice, scene: Scene) -> PricePlan:
    """Check a price.

    Raises:
        NotFound, BadInput: no such species or stage, or the pack does not add up.
    """
    species = find_species(conn, command.species)
    stage = match_stage(stages(conn, species.id), command.stage)
    pack = clean(command.pack, limit=40, field="pack")
    if not pack:
        raise BadInput(say("Name the pack: single, pair 1.1, group of 10."), "pack")
    if command.sex not in SEXES:
        raise BadInput(say("A price is for one of: {sexes}.", sexes=strung(SEXES, ", ")), "sex")
    if command.buyer not in KINDS:
        raise BadInput(say("A price is for {kinds} buyers.", kinds=" or ".join(KINDS)), "buyer")
    if type(command.animals) is not int or not 1 <= command.animals <= MOST_ANIMALS:
        raise BadInput(say("A pack has from 1 to {most_animals} animals.", most_animals=f"{MOST_ANIMALS:,}"), "animals")
    if not 0 <= command.amount <= MOST_MONEY:
        raise BadInput(say("A price must be nothing or more, and within reason."), "amount")
    if not FIRST_DAY <= command.from_on <= LAST_DAY:
        raise BadInput(
            say(
                "The day must lie between {first_day} and {last_day}.",
                first_day=long_day(FIRST_DAY),
                last_day=long_day(LAST_DAY),
            ),
            "from_on",
        )
    by_sex = counts_by_sex(pack)
    if by_sex is not None and sum(by_sex) != command.animals:
        raise BadInput(
            say(
                "A {pack} has {by_sex} animals, not {animals}; correct one of the two.",
                pack=pack,
                by_sex=sum(by_sex),
                animals=command.animals,
            ),
            "animals",
        )
    kind = read_pack(pack, command.animals)
    check_unit(kind, pack, stage.name, stage.unit)
    if by_sex is None and kind.animals != command.animals:
        raise BadInput(
            say(
                "A {pack} has {animals} animals, not {typed}; correct one of the two.",
                pack=pack,
                animals=kind.animals,
                typed=command.animals,
            ),
            "animals",
        )
    extra = command.extra or kind.extra
    if type(extra) is not int or not 0 <= extra <= MOST_ANIMALS:
        raise BadInput(say("The number given on top must be nothing or more."), "extra")
    if by_sex is not None and extra:
        raise BadInput(
            say("A {pack} says how many of each sex there are; leave out what is given on top.", pack=pack), "extra"
        )
    if by_sex is not None and command.sex != "any":
        raise BadInput(say("The name of the {pack} says the sexes already; leave the sex at any.", pack=pack), "sex")
    row = {
        "species_id": species.id,
        "stage_id": stage.id,
        "sex": command.sex if command.sex != "any" else kind.sex,
        "pack": pack,
        "animals": command.animals,
        "extra": extra,
        "buyer": command.buyer,
        "amount": command.amount,
        "from_on": command.from_on,
    }
    for_sale = figures(conn, command.from_on).yes(species.id, stage.id, "saleable")
    return PricePlan(
        row,
        _sentence(species.code, stage.name, row, scene.currency) if scene.sentences else "",
        ()
        if for_sale
        else (say("{name} of {code} is not a stage that is for sale.", name=stage.name, code=species.code),),
    )


def _sentence(species: str, stage: str, row: dict[str, Any], currency: Currency) -> str:
    kinds = (word(stage), word(str(row["sex"]))) if row["sex"] != "any" else (word(stage),)
    size = say(" ({animals})", animals=count_words(row["animals"], "animal", "animals")) if row["animals"] > 1 else ""
    size += say(" and {extra} on top", extra=row["extra"]) if row["extra"] else ""
    return say(
        "{species} {animals}, {pack}{size}: {amount} for {buyer} buyers from {day} on.",
        species=species,
        animals=strung(kinds),
        pack=word(row["pack"]),
        size=size,
        amount=said(row["amount"], currency),
        buyer=word(row["buyer"]),
        day=long_day(row["from_on"]),
    )


_NEW = insert(t.price).returning(t.price.c.id)


def commit_price(conn: Connection, plan: PricePlan, act: Act) -> Done:
    """Set a price."""
    write_one(conn, _NEW, t.price, {**plan.row, "operation_id": act.operation})
    return Done(plan.sentence, {}, plan.cautions)

"""Rear on or sell now, filled in from the ledger: prices, the chance of being reared, what is still to be spent.

Every figure may be given instead. Reads only; advises, never decides.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from sqlalchemy import Connection, func, select

from ledger.errors import BadInput, Refused
from ledger.money import Currency, said
from ledger.rearing.beta import Beta, matched
from ledger.rearing.buyers import Buyers, Demand, buyers_words, demand
from ledger.rearing.decided import decided
from ledger.rearing.guesses import guesses_of
from ledger.rearing.list_price import price_of_one
from ledger.rearing.lot_effect import lot_effect
from ledger.rearing.phases import phases, tally
from ledger.rearing.plain_words import percent
from ledger.rearing.ready_stage import way_of
from ledger.rearing.rear_or_sell import ForFew, RearOrSell, StillRearing, how_many_to_rear, still_rearing
from ledger.rearing.stays_of import learned
from ledger.rearing.upkeep import upkeep
from ledger.records import tables as t
from ledger.selling.prices import prices_on
from ledger.stock.figures import figures
from ledger.stock.journal import counts_on
from ledger.stock.layering import layers_on
from ledger.stock.naming import StageRef, find_lot, match_stage, stages
from ledger.stock.words import animals, stage_words
from ledger.wording import say, strung, word

EVERY_ONE = say("Every one that is reared is taken to find a buyer.")


@dataclass(frozen=True, slots=True)
class Choice:
    """Rear on or sell now, for the animals of one lot and stage. Amounts in minor units."""

    lot: str
    stage: str
    ready_stage: str
    animals: int
    """Those to decide about."""
    aside: tuple[tuple[str, int], ...]
    """Of the same lot and stage, but promised or kept back: held, kept, to post, and how many. Nothing is decided
    about them, for they are not there to be sold."""
    price_now: float
    price_later: float
    chance: float
    """Of being reared and ready, from the animals' age on."""
    days: float
    """Animal-days still to come for one of them, in expectation."""
    days_if_reared: float
    upkeep_a_day: float
    """What stops if they are sold now."""
    goes_on_a_day: float
    """Shared heat, racks and the like: spent either way, and not counted."""
    interest: float
    """A year, as a share; 0 unless given."""
    demand: Demand
    """What the sales of the ready stage tell of buyers to come."""
    buyers: int | None
    """Reckoned with; None: every one that is reared is taken to find one."""
    numbers: RearOrSell
    few: ForFew | None
    """How many to rear where buyers may run out."""
    words: tuple[str, ...]

    @property
    def rear(self) -> bool:
        """Whether rearing is worth more in expectation."""
        return self.numbers.gain > 0


@dataclass(frozen=True, slots=True)
class Choices:
    """The choice for each stage of a lot that has animals on the way."""

    choices: tuple[Choice, ...]
    left_out: tuple[str, ...]
    """Sentences on stages for which nothing can be said."""


def rear_or_sell(
    conn: Connection,
    lot: str,
    on: dt.date,
    currency: Currency,
    *,
    stage: str | None = None,
    price_now: int | None = None,
    price_later: int | None = None,
    upkeep_a_day: float | None = None,
    buyers: Buyers = None,
    interest: float = 0.0,
) -> Choices:
    """The choice for each stage of a lot that has animals on the way.

    Args:
        conn: an open reading connection.
        lot: its code.
        on: the day.
        currency: of the ledger.
        stage: one stage only.
        price_now: for one animal, minor units; the price list's by default.
        price_later: the same for one that is ready.
        upkeep_a_day: what is still to be spent on one animal a day, minor units; from the costs by default.
        buyers: how many ready animals will find a buyer, or all; by default as the sales of late have it.
        interest: a year, as a share.

    Raises:
        NotFound: no such lot or stage.
        BadInput: a number that cannot be, or a price now without saying of which of several stages.
        Refused: it has no animals on the way, or a price or survival is not known; says what to give.
    """
    for name, number in (("price_now", price_now), ("price_later", price_later), ("upkeep", upkeep_a_day)):
        if number is not None and number < 0:
            raise BadInput(say("A price or cost cannot be below nought."), name)
    if isinstance(buyers, int) and buyers < 0:
        raise BadInput(say("The number of buyers cannot be below nought."), "buyers")
    if interest <= -1:
        raise BadInput(say("The interest must be above -100 %."), "interest")
    ref = find_lot(conn, lot)
    ladder = stages(conn, ref.species_id)
    known = figures(conn, on)
    way, ready = way_of(ladder, known, ref.species_id)
    wanted = match_stage(ladder, stage) if stage is not None else None
    here = _here(conn, ref.id, way, on)
    if wanted is not None:
        here = [one for one in here if one[0].id == wanted.id]
    if not here:
        which = say("no {stage}", stage=stage_words(wanted.name, 2)) if wanted is not None else say("no animals")
        raise Refused(
            say(
                "{code} has {nothing} on the way to {name}, so there is nothing to decide.",
                code=ref.code,
                nothing=which,
                name=word(ready.name),
            ),
            "lot",
        )
    if price_now is not None and len(here) > 1:
        named = strung((word(one.name) for one, _ in here), say(" and "))
        raise BadInput(
            say("{code} has {named}; say which of them the price now is for.", code=ref.code, named=named), "stage"
        )
    told = learned(conn, ref.species_id, on, ready.position)
    guesses, unknown, _ = guesses_of(known, ref.species_id, way, told)
    prices = prices_on(conn, on)
    later = float(price_later) if price_later is not None else price_of_one(prices, ready, ref.code, "price_later")
    wait = known.hardening_days(ref.species_id, ready.id)
    counted = tally(told.stays, len(way))
    model = phases(counted, np.ones((1, counted.lots)), guesses)
    rho = lot_effect(told.stays, len(way)).rho
    found: list[Choice] = []
    refusals: list[Refused] = []
    for place, ages in here:
        at = next(i for i, one in enumerate(way) if one.id == place.id)
        missing = [unknown[one] for one in sorted(unknown) if one >= at]
        if missing:
            names = strung(map(word, missing), say(" and "))
            sentence = say(
                "{code}: neither days nor survival of {names} are known; set them for the species.",
                code=ref.code,
                names=names,
            )
            refusals.append(Refused(sentence, "lot"))
            continue
        try:
            now = float(price_now) if price_now is not None else price_of_one(prices, place, ref.code, "price_now")
        except Refused as refused:
            refusals.append(refused)
            continue
        there = sum(n for _, n in ages)
        aside = _aside(conn, ref.id, place.id)
        number = there - min(there, sum(n for _, n in aside))
        if not number:
            refusals.append(
                Refused(
                    say(
                        "{code}: nothing is to be decided about the {animals}, for all of them are promised or "
                        "kept back ({aside}).",
                        code=ref.code,
                        animals=animals(there, place.name),
                        aside=_aside_words(aside),
                    ),
                    "lot",
                )
            )
            continue
        parts = [(still_rearing(model, at, age), n) for age, n in ages]
        ahead = _mean(parts)
        cost = upkeep(conn, on, ref.id, place.position)
        daily = upkeep_a_day if upkeep_a_day is not None else cost.stops
        share = _share(ahead.reared, decided(told.stays, at), rho)
        discount = (1 + interest) ** (-(ahead.days_if_reared + wait) / 365)
        numbers = RearOrSell(now, later, daily * (ahead.days + wait * ahead.reared), share, discount)
        until = ahead.days_if_reared + wait
        sales = demand(conn, ready.id, ready.name, on, until)
        to_come = None if buyers == "all" else sales.buyers if buyers is None else buyers
        # Where buyers enough were reckoned there is nothing to weigh; a keeper who gives a number is answered.
        limits = to_come is not None and (buyers is not None or to_come < number)
        few = how_many_to_rear(numbers, number, to_come) if limits and to_come is not None else None
        found.append(
            Choice(
                lot=ref.code,
                stage=place.name,
                ready_stage=ready.name,
                animals=number,
                aside=aside,
                price_now=now,
                price_later=later,
                chance=ahead.reared,
                days=ahead.days,
                days_if_reared=until,
                upkeep_a_day=daily,
                goes_on_a_day=cost.goes_on,
                interest=interest,
                demand=sales,
                buyers=to_come,
                numbers=numbers,
                few=few,
                words=_choice_words(
                    ref.code,
                    place,
                    ready,
                    number,
                    numbers,
                    ahead,
                    bool(daily),
                    cost.goes_on,
                    few,
                    to_come,
                    sales.words if buyers is None else EVERY_ONE if buyers == "all" else "",
                    interest,
                    cost.stopping if upkeep_a_day is None else (),
                    aside,
                    currency,
                ),
            )
        )
    if not found:
        raise refusals[0]
    return Choices(tuple(found), tuple(refused.sentence for refused in refusals))


def _here(
    conn: Connection, lot_id: int, way: Sequence[StageRef], on: dt.date
) -> list[tuple[StageRef, list[tuple[int, int]]]]:
    """Stages on the way that have animals, with (days in it, animals)."""
    h = t.holding.c
    rows = conn.execute(select(h.id, h.stage_id).where(h.lot_id == lot_id)).all()
    then = counts_on(conn, on, [row.id for row in rows])
    layers = layers_on(conn, list(then), on) if then else {}
    found = []
    for stage in way:
        ages: dict[int, int] = {}
        for row in rows:
            if row.stage_id == stage.id:
                for layer in layers.get(row.id, ()):
                    age = max(0, (on - layer.entered_on).days)
                    ages[age] = ages.get(age, 0) + layer.count
        if ages:
            found.append((stage, sorted(ages.items())))
    return found


def _mean(parts: Sequence[tuple[StillRearing, int]]) -> StillRearing:
    number = sum(n for _, n in parts)
    reared = sum(one.reared * n for one, n in parts)
    until = sum(one.days_if_reared * one.reared * n for one, n in parts) / reared if reared > 0 else 0.0
    return StillRearing(sum(one.days * n for one, n in parts) / number, reared / number, until)


def _share(chance: float, size: float, rho: float) -> Beta:
    """What is known of the chance of one lot's animals: the estimate, its error, and how lots differ."""
    p = min(max(chance, 0.5 / (size + 1)), 1 - 0.5 / (size + 1))
    return matched(p, p * (1 - p) * min(rho + 1 / (size + 1), 0.9))


def _aside(conn: Connection, lot: int, stage: int) -> tuple[tuple[str, int], ...]:
    """What is held, kept back or to be posted of a lot and stage now; earmarks of a past day are not told."""
    h, on, mark = t.holding.c, t.earmark_on.c, t.earmark.c
    rows = conn.execute(
        select(mark.kind, func.sum(on.count).label("number"))
        .select_from(t.earmark_on.join(t.holding, h.id == on.holding_id).join(t.earmark, mark.id == on.earmark_id))
        .where(h.lot_id == lot, h.stage_id == stage)
        .group_by(mark.kind)
        .order_by(mark.kind)
    )
    return tuple((row.kind, int(row.number)) for row in rows if row.number)


def _aside_words(aside: Sequence[tuple[str, int]]) -> str:
    said = {
        "held": lambda n: say("{n} held for a buyer", n=n),
        "kept": lambda n: say("{n} kept back", n=n),
        "to post": lambda n: say("{n} sold and to be posted", n=n),
    }
    return strung((said[kind](n) for kind, n in aside), ", ")


def _answer(
    lot: str, stage: StageRef, number: int, numbers: RearOrSell, few: ForFew | None, money: Callable[[float], str]
) -> str:
    """What to do, in one sentence."""
    name = stage_words(stage.name, number)
    if few is not None and 0 < few.best < number:
        return say(
            "{lot}: rear {best} and sell {others} now, of {number} {name}.",
            lot=lot,
            best=few.best,
            others=number - few.best,
            number=number,
            name=name,
        )
    rear = numbers.gain > 0 if few is None else few.best == number
    if rear:
        return say(
            "{lot}: rear on all {number} {name}, {gain} more for each, in expectation.",
            lot=lot,
            number=number,
            name=name,
            gain=money(numbers.gain),
        )
    if numbers.gain > 0:
        return say("{lot}: sell all {number} {name} now; few buyers are to come.", lot=lot, number=number, name=name)
    return say(
        "{lot}: sell all {number} {name} now, {gain} more for each, in expectation.",
        lot=lot,
        number=number,
        name=name,
        gain=money(-numbers.gain),
    )


def _choice_words(
    lot: str,
    stage: StageRef,
    ready: StageRef,
    number: int,
    numbers: RearOrSell,
    ahead: StillRearing,
    costs_known: bool,
    goes_on: float,
    few: ForFew | None,
    buyers: int | None,
    sales: str,
    interest: float,
    stopping: Sequence[str],
    aside: Sequence[tuple[str, int]],
    currency: Currency,
) -> tuple[str, ...]:
    def money(amount: float) -> str:
        return said(round(amount), currency)

    one = stage_words(stage.name, 1)
    spent = say(" ({stopping})", stopping=strung(map(word, stopping), ", ")) if stopping else ""
    words = [
        _answer(lot, stage, number, numbers, few, money),
        say(
            "{lot}: {number} {name}; one fetches {now} now and {later} as {ready}.",
            lot=lot,
            number=number,
            name=stage_words(stage.name, number),
            now=money(numbers.now),
            later=money(numbers.later),
            ready=word(ready.name),
        ),
        say(
            "{reared} of them are to be expected to get there, after about {days_if_reared} days; until then "
            "one {one} costs {to_come} more{spent}.",
            reared=percent(ahead.reared),
            days_if_reared=f"{ahead.days_if_reared:.0f}",
            one=one,
            to_come=money(numbers.to_come),
            spent=spent,
        ),
    ]
    if aside:
        words.insert(2, say("Not among them and not to be sold: {aside}.", aside=_aside_words(aside)))
    if not costs_known:
        words.append(say("Nothing was used up for them in the last thirty days; give what one costs if that is wrong."))
    if numbers.break_even_share > 1:
        words.append(say("Rearing does not pay at these prices, however many survive."))
    else:
        words.append(
            say(
                "Rearing pays if more than {break_even_share} get there, which has a chance of {sure}, or from "
                "{break_even_price} for one {name}.",
                break_even_share=percent(numbers.break_even_share),
                sure=percent(numbers.sure),
                break_even_price=money(numbers.break_even_price),
                name=word(ready.name),
            )
        )
    if few is not None and 0 < few.best < number:
        words.append(
            say("Each one reared while there are buyers brings {gain} more, in expectation.", gain=money(numbers.gain))
        )
    words.append(say("Not knowing the survival better costs about {wrong} each.", wrong=money(numbers.wrong)))
    if goes_on:
        words.append(
            say(
                "Shared heat and lasting things, {money} for each until then, are spent either way and are not "
                "counted.",
                money=money(goes_on * ahead.days),
            )
        )
    words.append(
        say("Interest of {rate} % a year is counted.", rate=f"{100 * interest:g}")
        if interest
        else say("No interest is counted.")
    )
    if sales:
        words.append(sales)
    if few is not None and buyers is not None:
        words.append(
            say(
                "With {buyers} to come that makes {amount} in all; selling all now, if they find buyers, comes "
                "to {sell_all}, rearing all to {rear_all}.",
                buyers=buyers_words(buyers),
                amount=money(few.values[few.best]),
                sell_all=money(few.sell_all),
                rear_all=money(few.rear_all),
            )
        )
    elif buyers is not None:
        words.append(say("That is enough for all {number}.", number=number))
    return tuple(words)

"""What the demo business spends: 180 costs over two years, in cents."""

from __future__ import annotations

import calendar
import datetime as dt
import random
from collections.abc import Iterator
from functools import partial

from demo.parameters import EQUIPMENT, FAIR_NAMES, SUPPLIERS, Bought
from demo.world import World
from ledger.costs.commands import Spend
from ledger.selling.commands import DriveToFair, SpendOnFair

FAIR_TABLE = 3500
KM = "86"


def plan(world: World) -> None:
    """Put every cost on its day."""
    for one in _all(random.Random(world.draw.random())):
        world.at(one.on, partial(_spend, world, one))
    for name, on, _ in FAIR_NAMES:
        world.at(on, partial(world.do, DriveToFair(name, KM, on)))


def _spend(world: World, one: Bought) -> None:
    if one.fair:
        world.do(SpendOnFair(one.fair, one.category, one.amount, one.on, one.text))
        return
    scope = "none" if one.kind == "selling" else "species" if one.species else "all"
    first, last = one.on if one.days else None, None
    if one.days is not None:
        first = one.on if one.days > 0 else one.on + dt.timedelta(days=one.days + 1)
        last = first + dt.timedelta(days=abs(one.days) - 1)
    world.do(
        Spend(
            one.on,
            one.category,
            one.amount,
            one.supplier,
            one.text,
            kind=one.kind,
            scope=scope,
            species=one.species if one.kind != "selling" else (),
            window_from=first,
            window_to=last,
            life_days=one.life_days,
            residual=one.residual,
            share=one.share,
        )
    )


def _months() -> Iterator[dt.date]:
    for year in (2024, 2025):
        for month in range(1, 13):
            yield dt.date(year, month, 1)


def _spread(count: int, total: int, draw: random.Random) -> list[int]:
    """`count` amounts around the same size that sum to `total`."""
    weights = [draw.uniform(0.8, 1.2) for _ in range(count)]
    amounts = [round(total * weight / sum(weights)) for weight in weights]
    amounts[-1] += total - sum(amounts)
    return amounts


def _all(draw: random.Random) -> Iterator[Bought]:
    yield from _feed(draw)
    months = list(_months())
    for day, amount in zip(months[::2], _spread(12, 26000, draw), strict=True):
        yield Bought(day.replace(day=6), "substrate", amount, SUPPLIERS["feed"], "flake soil and coir")
    for day, amount in zip(months[1::2], _spread(12, 13000, draw), strict=True):
        yield Bought(day.replace(day=9), "consumables", amount, SUPPLIERS["boxes"], "labels, gloves, paper, vials")
    for day, amount in zip(months[::2], _spread(12, 17000, draw), strict=True):
        yield Bought(day.replace(day=12), "packaging", amount, SUPPLIERS["boxes"], "boxes and liners", kind="selling")
    for day, amount in zip(months, _spread(24, 122000, draw), strict=True):
        yield Bought(_end(day), "postage", amount, "the carrier", "statement of the month", kind="selling")
    for day in months:
        yield _power(day)
    for day, amount in zip(months[1::2], _spread(12, 15000, draw), strict=True):
        yield Bought(_end(day), "payment fees", amount, "the payment service", "fees", kind="selling")
    for on, thing, amount, years, residual, species in EQUIPMENT:
        yield Bought(
            on,
            "equipment",
            amount,
            SUPPLIERS["equipment"],
            thing,
            kind="lasting",
            species=species,
            life_days=365 * years,
            residual=residual,
        )
    for name, on, _ in FAIR_NAMES:
        yield Bought(on, "fair table", FAIR_TABLE, "the fair", "table", kind="selling", fair=name)


def _end(month: dt.date) -> dt.date:
    return month.replace(day=calendar.monthrange(month.year, month.month)[1])


def _feed(draw: random.Random) -> Iterator[Bought]:
    """Sixty purchases of feed, each for one species."""
    kinds = (
        (8, 6000, ("PACH",), "leaf litter and fruit", "feed"),
        (12, 16000, ("PORC",), "leaf litter, protein and chalk", "feed"),
        (10, 6000, ("EXTA",), "bramble and eucalyptus", "feed"),
        (18, 20000, ("HIER",), "flies and crickets", "feeders"),
        (12, 16000, ("GECK",), "crickets and mealworms", "feeders"),
    )
    for count, total, species, text, supplier in kinds:
        for number, amount in enumerate(_spread(count, total, draw)):
            on = dt.date(2024, 1, 5) + dt.timedelta(days=round(number * 715 / count))
            yield Bought(on, "feed", amount, SUPPLIERS[supplier], text, species=species)


WATTS = ((20, 55), (20, 55), (20, 55))
"""Three heat mats: watts and per cent of the time on."""
INCUBATOR = (60, 35)
PRICE_PER_KWH = 30
HEATER = (400, 30)
HEATER_SHARE = 60
"""Per cent of the room heater that is for the animals; it runs from November to March."""


def _power(month: dt.date) -> Bought:
    """Power of a month from watts, duty and tariff: W x duty x hours / 1000 kWh."""
    days = calendar.monthrange(month.year, month.month)[1]
    watts = sum(watt * duty for watt, duty in WATTS) + (INCUBATOR[0] * INCUBATOR[1] if 3 <= month.month <= 10 else 0)
    if month.month in (11, 12, 1, 2, 3):
        watts += HEATER[0] * HEATER[1] * HEATER_SHARE // 100 // 3
    cents = round(watts * 24 * days * PRICE_PER_KWH / 100_000)
    return Bought(_end(month), "power", cents, SUPPLIERS["power"], "computed from watts and duty", days=-days)

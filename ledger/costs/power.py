"""Power reckoned from watts: kWh = W x duty x hours / 1000, at the tariff's unit price.

The unit price, not the bill by its units, since that holds the standing charge; duty from a meter in the plug for a
week: full wattage overstates (common practice, no source). What comes of it is an ordinary cost over its days.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.costs.commands import Power, Spend
from ledger.costs.spending import SpendPlan, commit_spend, plan_spend
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import round_half_even
from ledger.wording import decimals, say

FULL_DUTY = 10000
DAY = 1440
BILL = say("Do not record the bill of the household as well, or this power counts twice.")


def kwh(watts: int, duty: int, minutes_a_day: int, days: int) -> Fraction:
    """Units of power used, exactly.

    Args:
        watts: as printed on the appliance.
        duty: part of the time it is on, in hundredths of a percent.
        minutes_a_day: it is plugged in.
        days: how many.
    """
    return Fraction(watts * duty * minutes_a_day * days, FULL_DUTY * 60 * 1000)


def price_of(units: Fraction, price: int) -> Fraction:
    """What units come to, in minor units; `price` is that of 1,000 of them."""
    return units * price / 1000


def plan_power(conn: Connection, command: Power, scene: Scene) -> SpendPlan:
    """Reckon the cost of power and check it as any other.

    Raises:
        BadInput: a figure that cannot be, or too little to be a cost.
        NotFound: no such species or lot.
    """
    for value, most, what, field in (
        (command.watts, 100_000, say("watts"), "watts"),
        (command.duty, FULL_DUTY, say("hundredths of a percent that it is on"), "duty"),
        (command.minutes_a_day, DAY, say("minutes a day"), "minutes_a_day"),
        (command.price, 10**9, say("minor units for 1,000 kWh"), "price"),
    ):
        if type(value) is not int or not 1 <= value <= most:
            raise BadInput(
                say("The {what} must be a whole number from 1 to {most}.", what=what, most=f"{most:,}"), field=field
            )
    if command.last < command.first:
        raise BadInput(
            say(
                "The power would end on {last}, before it starts on {first}; swap the two days.",
                last=long_day(command.last),
                first=long_day(command.first),
            ),
            field="last",
        )
    days = (command.last - command.first).days + 1
    units = kwh(command.watts, command.duty, command.minutes_a_day, days)
    amount = price_of(units, command.price)
    gross = round_half_even(amount.numerator, amount.denominator)
    if not gross:
        raise BadInput(say("That comes to nothing; give it more days, or leave it out."), field="watts")
    bought_on = min(command.last, scene.today)
    hours = "" if command.minutes_a_day == DAY else say(" {hours} h a day", hours=f"{command.minutes_a_day / 60:g}")
    reckoned = say(
        "{watts} W x {duty} %{hours}, {days} days: {kwh} kWh",
        watts=command.watts,
        duty=f"{command.duty / 100:g}",
        hours=hours,
        days=days,
        kwh=decimals(f"{float(units):.2f}"),
    )
    plan = plan_spend(
        conn,
        Spend(
            bought_on,
            command.category,
            gross,
            command.supplier,
            f"{command.text}: {reckoned}" if command.text else reckoned,
            kind="overhead",
            scope="lots" if command.lots else "species" if command.species else "all",
            species=command.species,
            lots=command.lots,
            window_from=command.first,
            window_to=command.last,
            share=command.share,
            note=command.note,
        ),
        scene,
    )
    return replace(plan, cautions=(*plan.cautions, BILL))


def commit_power(conn: Connection, plan: SpendPlan, act: Act) -> Done:
    """Write the cost."""
    return commit_spend(conn, plan, act)

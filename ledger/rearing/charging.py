"""What to charge for a reared animal, and what better survival would be worth, from the costs. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.errors import BadInput, Refused
from ledger.money import Currency, said
from ledger.rearing.list_price import price_of_one
from ledger.rearing.look import look_at_species
from ledger.rearing.plain_words import percent
from ledger.rearing.price_floor import BetterRearing, PriceFloor, better_rearing, price_floor
from ledger.rearing.ready_stage import way_of
from ledger.rearing.report import RearingRow, rearing
from ledger.rearing.upkeep import stops_with_it
from ledger.records import tables as t
from ledger.selling.prices import prices_on
from ledger.stock.figures import figures
from ledger.stock.naming import find_species, stages
from ledger.wording import counted, say, strung, word

YEAR = 365
"""Days back over which selling costs and animals sold are looked at."""


@dataclass(frozen=True, slots=True)
class SellingOne:
    """What selling one animal cost lately, and what that rests on. Amounts in minor units."""

    spent: int
    """Selling costs of the last year."""
    charged: int
    """Of them, what buyers paid for post and the like."""
    animals: int
    """Animals sold in that time."""

    @property
    def each(self) -> float:
        """By animal, never below nothing."""
        return max(0.0, float(self.spent - self.charged)) / self.animals if self.animals else 0.0

    def words(self, currency: Currency) -> str:
        """Where the figure comes from, in a sentence."""
        if not self.animals:
            return say("Nothing was sold in the last {days} days, so selling one counts as nothing.", days=YEAR)
        if not self.spent:
            return say("No selling cost was recorded in the last {days} days.", days=YEAR)
        return counted(
            self.animals,
            "Selling one: {spent} of selling costs in the last {days} days, less {charged} that buyers were charged "
            "for post and the like, over {n} animal sold.",
            "Selling one: {spent} of selling costs in the last {days} days, less {charged} that buyers were charged "
            "for post and the like, over {n} animals sold.",
            spent=said(self.spent, currency),
            days=YEAR,
            charged=said(self.charged, currency),
        )


@dataclass(frozen=True, slots=True)
class Charge:
    """What one reared animal must bring. Amounts in minor units."""

    species: str
    stage: str
    floor: PriceFloor
    cost_shown: int
    """Cost per reared adult in whole minor units, as the rearing report has it."""
    floor_shown: int
    """The least to ask in whole minor units; without a margin what is shown of cost and selling adds up to it."""
    price: float | None
    """The list's price of one; None when it has none."""
    verdict: str
    better: BetterRearing | None
    words: tuple[str, ...]
    pending: int
    """Animals still rearing: while there are any, the cost is one so far and may rise."""


def what_to_charge(
    conn: Connection,
    species: str,
    on: dt.date,
    currency: Currency,
    *,
    margin: float = 0.0,
    survival: float | None = None,
) -> Charge:
    """The price floor of a species, and what another survival would be worth.

    Args:
        conn: an open reading connection.
        species: its code.
        on: last day looked at.
        currency: of the ledger.
        margin: wanted part of the price, 0 to below 1.
        survival: another share reared, for comparison.

    Raises:
        NotFound: no such species.
        BadInput: a margin or survival out of its range.
        Refused: there is no cost per reared adult.
    """
    if not 0 <= margin < 1:
        raise BadInput(say("The margin must be from 0 to below 100 %."), "margin")
    if survival is not None and not 0 < survival <= 1:
        raise BadInput(say("The survival must be above 0 and at most 100 %."), "survival")
    kind = find_species(conn, species)
    rows = rearing(conn, on, species=kind.code)
    row = next((one for one in rows if not one.lot), None)
    if row is None or row.cost_per_reared is None or row.cost_shown is None:
        why = strung(row.notes, "; ") if row is not None and row.notes else say("it has no lots yet")
        raise Refused(say("{code} has no cost per reared adult yet ({why}).", code=kind.code, why=why), "species")
    cost = float(row.cost_per_reared)
    chance, low, high = _survival(conn, row, on)
    kinds = {
        one.category: one.kind
        for one in conn.execute(select(t.cost.c.category, t.cost.c.kind).where(t.cost.c.kind != "selling"))
    }
    stops = sum(
        float(part.each)
        for part in row.by_category
        if (kind_of := kinds.get(part.name, "animals")) == "animals" or stops_with_it(kind_of, part.name)
    )
    sold = _selling_one(conn, on)
    selling = sold.each
    floor = price_floor(cost, chance, low, high, selling=selling, margin=margin, stops=stops)
    ladder = stages(conn, kind.id)
    _, ready = way_of(ladder, figures(conn, on), kind.id)
    try:
        price: float | None = price_of_one(prices_on(conn, on), ready, kind.code, "price")
    except Refused:
        price = None
    better = better_rearing(cost, chance, row.cost_reached, survival) if survival is not None and chance > 0 else None

    def money(amount: float) -> str:
        return said(round(amount), currency)

    cost_shown = row.cost_shown
    floor_shown = round(floor.floor) if margin else cost_shown + round(selling)
    spread = ""
    if floor.cost_low is not None and floor.cost_high is not None:
        spread = say(
            " ({cost_low} to {cost_high} with the survival's limits)",
            cost_low=money(floor.cost_low),
            cost_high=money(floor.cost_high),
        )
    figures_said = {
        "code": kind.code,
        "name": word(ready.name),
        "cost": said(cost_shown, currency),
        "spread": spread,
        "selling": money(selling),
    }
    words = [
        counted(
            row.pending,
            "{code}: so far one reared {name} cost {cost}{spread}, and it may rise: {n} is still rearing. Selling it "
            "costs {selling}.",
            "{code}: so far one reared {name} cost {cost}{spread}, and it may rise: {n} are still rearing. Selling it "
            "costs {selling}.",
            **figures_said,
        )
        if row.pending
        else say("{code}: one reared {name} cost {cost}{spread}; selling it costs {selling}.", **figures_said)
    ]
    aim = say(" with {share} % left", share=f"{margin * 100:.0f}") if margin else ""
    words.append(
        say(
            "The least to ask{aim} is {floor}; how costs are shared is a choice, and your hours are not in it.",
            aim=aim,
            floor=said(floor_shown, currency),
        )
    )
    verdict = floor.verdict(price) if price is not None else ""
    if price is not None:
        words.append(
            say("The list asks {price}: {verdict}", price=money(price), verdict=verdict or say("that covers it"))
            + (say(" ({stops} each).", stops=money(floor.stops)) if verdict.startswith("below full") else ".")
        )
    words.append(sold.words(currency))
    if better is not None:
        words.append(
            say(
                "At {other} reared in place of {survival} it would cost {cost_other}, {saved_each} less each, "
                "and {reared_other} in place of {reared} would be there for the same spending.",
                other=percent(better.other),
                survival=percent(better.survival),
                cost_other=money(better.cost_other),
                # What is shown of both: a reader takes one from the other.
                saved_each=said(cost_shown - round(better.cost_other), currency),
                reared_other=f"{better.reared_other:.0f}",
                reared=better.reared,
            )
        )
    return Charge(
        kind.code, ready.name, floor, cost_shown, floor_shown, price, verdict, better, tuple(words), row.pending
    )


def _survival(conn: Connection, row: RearingRow, on: dt.date) -> tuple[float, float | None, float | None]:
    """Share reared with its limits: of all lots, else of the most that are counted from one stage, else of the only lot
    that reared any, as all of the cost is that of its animals; else as counted."""
    if row.survival is not None:
        return row.survival, row.low, row.high
    try:
        groups = look_at_species(conn, row.species, on).groups
    except Refused:
        groups = ()
    together = next((group.together for group in groups if group.together is not None), None)
    alone = [share for group in groups for _, share in group.lots if share is not None and share.share > 0]
    if together is None and len(alone) == 1:
        (together,) = alone
    if together is not None:
        return together.share, together.low, together.high
    return row.reached / max(1, row.reached + row.lost), None, None


def _selling_one(conn: Connection, on: dt.date) -> SellingOne:
    """Selling costs of the last year, what buyers were charged for postage, and the animals sold."""
    since = on - dt.timedelta(days=YEAR)
    c, s = t.cost.c, t.sale.c
    undone = select(c.reverses).where(c.reverses.is_not(None))
    spent = conn.execute(
        select(func.sum(c.basis)).where(
            c.kind == "selling", c.reverses.is_(None), c.id.not_in(undone), c.bought_on > since, c.bought_on <= on
        )
    ).scalar()
    in_time = s.sold_on.between(since + dt.timedelta(days=1), on)
    charged = conn.execute(
        select(func.sum(t.sale_charge.c.amount)).join(t.sale, s.id == t.sale_charge.c.sale_id).where(in_time)
    ).scalar()
    animals = conn.execute(
        select(func.sum(t.sale_line.c.count)).join(t.sale, s.id == t.sale_line.c.sale_id).where(in_time)
    ).scalar()
    return SellingOne(int(spent or 0), int(charged or 0), int(animals or 0))

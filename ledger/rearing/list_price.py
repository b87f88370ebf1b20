"""The price of one animal as the price list has it: the smallest pack by the animals in it. Only reads the list."""

from __future__ import annotations

from ledger.errors import Refused
from ledger.selling.prices import PriceList
from ledger.stock.naming import StageRef
from ledger.stock.words import stage_words
from ledger.wording import say


def price_of_one(prices: PriceList, stage: StageRef, whose: str, field: str) -> float:
    """Price of one animal of a stage, minor units; where each sex has its own, or only pairs have one, their mean.

    Raises:
        Refused: the list has none; `whose` and `field` say for whom and what to give.
    """
    packs = prices.packs(stage.species_id, stage.id, "unsexed")
    if packs:
        return packs[-1].amount / packs[-1].animals
    sexes = [prices.packs(stage.species_id, stage.id, sex) for sex in ("male", "female")]
    each = [pack[-1].amount / pack[-1].animals for pack in sexes if pack] or [
        one.amount / one.animals
        for one in prices.all()
        if (one.species_id, one.stage_id, one.buyer) == (stage.species_id, stage.id, "retail")
    ]
    if not each:
        raise Refused(
            say(
                "{whose}: the price list has no price of {name}; give one.",
                whose=whose,
                name=stage_words(stage.name, 2),
            ),
            field,
        )
    return sum(each) / len(each)

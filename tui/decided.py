"""What the answer of each decision says and draws: the same for its form and for the command line.

Reckons nothing of its own but the figures of another survival or price, by the ledger's own functions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.money import Currency, amount_text, said
from ledger.stock.words import stage_words
from ledger.wording import say, strung, word
from tui.charts import Bar
from tui.drawn import Bars, Picture
from tui.forms.what_if import Told
from tui.look import percent

if TYPE_CHECKING:
    from ledger.rearing.charging import Charge
    from ledger.rearing.choosing import Choice
    from ledger.rearing.starting import Start


def _money(value: float, currency: Currency) -> str:
    """An amount in minor units that need not be whole, as text."""
    return amount_text(round(value), currency)


def rear_or_sell_told(choice: Choice, currency: Currency) -> Told:
    """The answer, with the figures it was reckoned from."""
    from ledger.rearing.buyers import buyers_words
    from ledger.rearing.share_limits import limits
    from ledger.rearing.upkeep import a_month

    numbers = choice.numbers
    scale = 10**currency.digits
    share = limits(numbers.share)
    low, high = (max(0.0, numbers.later * numbers.delay * end - numbers.to_come) for end in (share.low, share.high))
    reared = max(0.0, numbers.reared)
    worth = Bars(
        say(
            "One {stage}, {code}: sold now, or reared less what is still to be spent",
            stage=word(choice.stage),
            code=currency.code,
        ),
        (
            Bar(say("sell now"), numbers.now / scale, _money(numbers.now, currency)),
            Bar(
                say("rear on"),
                reared / scale,
                say(
                    "{reared} ({low} to {high})",
                    reared=_money(numbers.reared, currency),
                    low=_money(low, currency),
                    high=_money(high, currency),
                ),
                low / scale,
                high / scale,
            ),
        ),
    )
    edge = numbers.break_even_share
    chance = Bars(
        say("Share that gets there, and the share from which rearing pays"),
        (
            Bar(
                say("expected"),
                numbers.share.mean,
                say(
                    "{mean} ({low} to {high})",
                    mean=percent(numbers.share.mean),
                    low=percent(share.low),
                    high=percent(share.high),
                ),
                share.low,
                share.high,
            ),
            Bar(say("pays from"), min(edge, 1.0), percent(edge) if edge <= 1 else say("never")),
        ),
        most=1.0,
    )
    drawn = [worth, chance]
    if choice.few is not None:
        few = choice.few
        kinds = (
            (say("sell all now"), few.sell_all),
            (say("rear {best}", best=few.best), few.values[few.best]),
            (say("rear all"), few.rear_all),
        )
        rows = tuple(Bar(name, max(0.0, value) / scale, _money(value, currency)) for name, value in kinds)
        limit = say("with {buyers_words} to come", buyers_words=buyers_words(choice.buyers or 0))
        drawn.append(
            Bars(
                say("All {animals} of them, {code}, {limit}", animals=choice.animals, code=currency.code, limit=limit),
                rows,
            )
        )
    filled = {
        "price_now": _money(choice.price_now, currency),
        "price_later": _money(choice.price_later, currency),
        "upkeep": _money(a_month(choice.upkeep_a_day * choice.animals), currency),
        "buyers": word("all") if choice.demand.buyers is None else str(choice.demand.buyers),
        "interest": "0 %",
    }
    sales = choice.demand
    beside = {
        "upkeep": say("{code}, for all {animals} of them", code=currency.code, animals=choice.animals),
        "buyers": say("or all · {sold} sold in {weeks} weeks", sold=sales.sold, weeks=sales.weeks)
        if sales.sold
        else say("or a number · none sold lately"),
        "interest": say("none is counted") if not choice.interest else "",
    }
    picture = Picture(
        say("Rear or sell {lot} {stage}", lot=choice.lot, stage=word(choice.stage)), tuple(drawn), choice.words
    )
    return Told(picture, filled, beside)


def how_many_told(found: Start, usual: int, survival: float | None) -> Told:
    """The answer, at another survival if one is given."""
    from ledger.rearing.how_many import to_start

    answers, sentences = found.answers, found.words
    if survival is not None:
        if not 0 < survival <= 1:
            raise BadInput(say("The share must be above 0 and at most 100 %."), "survival")
        answers = tuple(
            to_start(found.wanted, survival, found.size, found.rho, one.confidence) for one in found.answers
        )
        before = percent(found.chance)
        young = stage_words(found.stage, 2)
        head = say(
            "{species}: were {survival} of {young} reared, in place of {before}.",
            species=found.species,
            survival=percent(survival),
            young=young,
            before=before,
        )
        sentences = (head, *(say("Start {words}.", words=one.words) for one in answers))
    rows = tuple(
        Bar(
            say("{confidence} sure", confidence=percent(one.confidence)),
            float(one.animals),
            say("start {animals}", animals=one.animals),
        )
        for one in answers
        if one.animals is not None
    )
    title = say(
        "Number of {stage} to start for {wanted} reared", stage=stage_words(found.stage, 2), wanted=found.wanted
    )
    picture = Picture(
        say("How many to start {species}", species=found.species), (Bars(title, rows),) if rows else (), sentences
    )
    filled = {"wanted": str(usual), "stage": word(found.stage), "survival": percent(found.chance)}
    worth = say("as well known as from {size} animals followed to the end", size=f"{found.size:.0f}")
    return Told(picture, filled, {"wanted": say("as many as your lots usually gave"), "survival": worth})


def least_price_told(found: Charge, price: int | None, currency: Currency) -> Told:
    """The answer, with another price asked if one is given."""
    floor = found.floor
    sentences = found.words
    asked = found.price if price is None else float(price)
    if price is not None:
        verdict = floor.verdict(price) or say("that covers it")
        own = [one for one in found.words if not one.startswith("The list asks")]
        sentences = (*own, say("At {price}: {verdict}.", price=said(price, currency), verdict=verdict))
    cost = say("it cost so far") if found.pending else say("it cost")
    rows = [_range_bar(cost, floor.cost, floor.cost_low, floor.cost_high, currency, found.cost_shown)]
    rows.append(_range_bar(say("selling it"), floor.selling, None, None, currency))
    least = _range_bar(say("least to ask"), floor.floor, floor.floor, floor.floor_high, currency, found.floor_shown)
    rows.append(least)
    if asked is not None:
        rows.append(_range_bar(say("price asked"), asked, None, None, currency))
    stage = word(found.stage)
    title = (
        say("One reared {stage}, {code}; for its limits too little is known", stage=stage, code=currency.code)
        if floor.cost_low is None
        else say("One reared {stage}, {code} (with the limits of the survival)", stage=stage, code=currency.code)
    )
    picture = Picture(say("Price floor {species}", species=found.species), (Bars(title, tuple(rows)),), sentences)
    filled = {"margin": "0 %", "price": "" if found.price is None else _money(found.price, currency)}
    beside = {"price": say("the price list's") if found.price is not None else say("the price list has none")}
    return Told(picture, filled, beside)


def _range_bar(
    name: str, value: float, low: float | None, high: float | None, currency: Currency, whole: int | None = None
) -> Bar:
    """A figure with its range; `whole`: minor units to write of it."""
    scale = 10**currency.digits
    text = _money(value if whole is None else whole, currency)
    if low is None or high is None:
        return Bar(name, value / scale, text)
    if low < value:
        text += say(" ({low} to {high})", low=_money(low, currency), high=_money(high, currency))
    else:
        text += say(" (up to {high})", high=_money(high, currency))
    return Bar(name, value / scale, text, low / scale, high / scale)


def better_survival_told(found: Charge, own: float, currency: Currency) -> Told:
    """The answer, with what one would cost at other shares."""
    from ledger.rearing.price_floor import better_rearing

    better = found.better
    assert better is not None
    scale = 10**currency.digits
    tens = [step / 10 for step in range(1, 11) if step / 10 >= better.survival / 2]
    shares = sorted({*tens, better.survival, better.other})
    rows = []
    for share in shares:
        cost = better_rearing(better.cost, better.survival, better.reared, share).cost_other
        which = {better.survival: say("today"), better.other: say("asked")}.get(share, "")
        rows.append(
            Bar(strung((percent(share), which)) if which else percent(share), cost / scale, _money(cost, currency))
        )
    title = say("One reared {stage}, {code}, at the share that is reared", stage=word(found.stage), code=currency.code)
    gain = round(better.saved_each * better.reared)
    more = said(abs(gain), currency)
    worth = (
        say("On the {reared} that were reared that would have been {amount} less.", reared=better.reared, amount=more)
        if gain >= 0
        else say(
            "On the {reared} that were reared that would have been {amount} more.", reared=better.reared, amount=more
        )
    )
    picture = Picture(
        say("Better survival {species}", species=found.species),
        (Bars(title, tuple(rows)),),
        (found.words[0], found.words[-1], worth),
    )
    beside = {"survival": say("today {survival}; filled in: ten points more", survival=percent(better.survival))}
    return Told(picture, {"survival": percent(own)}, beside)

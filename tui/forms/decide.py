"""Four decisions with what-if fields: sell now or rear on, how many to start, the least to ask, better survival.

Each asks the ledger and draws what it answers; reckons nothing of its own but the figures of another survival or price,
by the ledger's own functions.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Literal

from ledger.errors import BadInput
from ledger.money import Currency, amount_text, said
from ledger.stock.words import stage_words
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.charts import Bar
from tui.drawn import Bars, Picture
from tui.forms.what_if import Told, Values, WhatIf
from tui.look import percent
from tui.typed_words import known_word
from tui.verbs import typed
from tui.widgets.fields import FieldSpec, amount, nothing_beside, whole

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from ledger.rearing.buyers import Buyers
    from ledger.rearing.charging import Charge
    from ledger.rearing.choosing import Choice
    from ledger.rearing.starting import Start

PARTS = 1_000_000
TEN_POINTS = 0.1
MONTHS, DAYS = 12, 365
USUAL_WANTED = 20
"""Reared animals wanted, where no lot says how many are usual (common practice, no source)."""


def share_of(what: str, field: str) -> Callable[[str], float]:
    """Reads a share: 85 % or 0.85."""
    return lambda text: typed.share(text, PARTS, what, field) / PARTS


def _buyers(text: str) -> int | Literal["all"]:
    """How many buyers are to come, or all of them."""
    return typed.buyers(known_word(text, ("all",)))


def _money(value: float, currency: Currency) -> str:
    """An amount in minor units that need not be whole, as text."""
    return amount_text(round(value), currency)


class RearOrSell(WhatIf):
    """Sell the young of a lot now, or rear them on.

    Args:
        lot: its code.
    """

    WHERE = "rear-or-sell"
    HELP = say(
        "What one animal fetches now against what it is worth reared: its price then, by the chance that "
        "it gets there, less what is still to be spent on it. Only what stops when it is sold counts as "
        "still to be spent; shared heat goes on either way. Buyers to come are as many as the sales of "
        "the last half year make in the time that rearing takes. The fields are filled in from the "
        "ledger; change one and the answer follows. It advises; you decide."
    )
    ACTS: ClassVar[tuple[Act, ...]] = WhatIf.ACTS

    def __init__(self, lot: str) -> None:
        super().__init__()
        self._lot = lot
        self._counts: dict[str, int] = {}

    def title_words(self) -> str:
        return say("{lot}: sell now or rear on?", lot=self._lot)

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        young = [row for row in ledger.stock(lot=self._lot) if not row.reared and row.unit == "animal" and row.count]
        for row in sorted(young, key=lambda row: row.position):
            self._counts[row.stage] = self._counts.get(row.stage, 0) + row.count
        code = ledger.currency.code
        read = amount(ledger.currency)
        stage = (
            (FieldSpec("stage", say("stage"), str, next(iter(self._counts)), choices=tuple(self._counts)),)
            if len(self._counts) > 1
            else ()
        )
        return (
            *stage,
            FieldSpec("price_now", say("one fetches now"), read, hint=code),
            FieldSpec("price_later", say("one reared"), read, hint=code),
            FieldSpec("upkeep", say("cost a month"), read, hint=say("{code}, for all of them", code=code)),
            FieldSpec("buyers", say("buyers to come"), _buyers, hint=say("or all: every one finds a buyer")),
            FieldSpec("interest", say("interest a year"), share_of(say("a share"), "interest"), "", nothing_beside),
        )

    def question(self, values: Values) -> Callable[[], Told]:
        ledger, lot, reckoner = self.desk.ledger, self._lot, self.desk.reckoner
        stage: str | None = values.get("stage") or next(iter(self._counts), None)
        number = self._counts.get(stage or "", 0)
        monthly: int | None = values["upkeep"]
        buyers: Buyers = values["buyers"]

        def ask() -> Told:
            upkeep = None if monthly is None or not number else monthly * MONTHS / DAYS / number
            (choice,) = reckoner.ask(
                ledger.rear_or_sell,
                lot,
                stage=stage,
                price_now=values["price_now"],
                price_later=values["price_later"],
                upkeep_a_day=upkeep,
                buyers=buyers,
                interest=values["interest"] or 0.0,
            ).choices
            return rear_or_sell_told(choice, ledger.currency)

        return ask


def rear_or_sell_told(choice: Choice, currency: Currency) -> Told:
    """The answer, with the figures it was reckoned from."""
    from ledger.rearing.buyers import buyers_words
    from ledger.rearing.share_limits import limits

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
        "upkeep": _money(choice.upkeep_a_day * choice.animals * DAYS / MONTHS, currency),
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


class HowMany(WhatIf):
    """How many young to start.

    Args:
        species: its code.
    """

    WHERE = "how-many"
    HELP = say(
        "How many young to start so that as many as you want are reared, four times in five, nine times "
        "in ten and nineteen times in twenty. The wanted number is what your lots usually gave; the "
        "share that gets there is from your own lots. Change either and the answer follows."
    )
    ACTS: ClassVar[tuple[Act, ...]] = WhatIf.ACTS

    def __init__(self, species: str) -> None:
        super().__init__()
        self._species = species

    def title_words(self) -> str:
        return say("{species}: how many to start?", species=self._species)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("wanted", say("reared wanted"), whole("animals")),
            FieldSpec(
                "stage", say("started as"), lambda text: text.strip(), known=self._young(), hint=say("a stage of young")
            ),
            FieldSpec(
                "survival", say("share reared"), share_of(say("a share"), "survival"), hint=say("from your own lots")
            ),
        )

    def _young(self) -> tuple[str, ...]:
        kind = next(row for row in self.desk.ledger.species() if row.code == self._species)
        names = [stage.name for stage in kind.stages if stage.unit == "animal"]
        reared = next((stage.name for stage in kind.stages if stage.reared), "")
        return tuple(names[: names.index(reared)] if reared in names else names)

    def question(self, values: Values) -> Callable[[], Told]:
        ledger, species, reckoner = self.desk.ledger, self._species, self.desk.reckoner

        def ask() -> Told:
            usual = reckoner.ask(_usual, ledger, species)
            wanted: int = values["wanted"] or usual
            found = reckoner.ask(ledger.how_many_to_start, species, wanted, stage=values["stage"])
            return how_many_told(found, usual, values["survival"])

        return ask


def _usual(ledger: Ledger, species: str) -> int:
    """Reared animals that the lots of a species gave, in the middle; so many are likely to be wanted again."""
    gave = sorted(row.reached for row in ledger.rearing(species=species) if row.lot and row.reached)
    return gave[len(gave) // 2] if gave else USUAL_WANTED


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
    worth = say("worth {size} animals followed to the end", size=f"{found.size:.0f}")
    return Told(picture, filled, {"wanted": say("as many as your lots usually gave"), "survival": worth})


class LeastPrice(WhatIf):
    """The least to ask for a reared animal.

    Args:
        species: its code.
    """

    WHERE = "price-floor"
    HELP = say(
        "The least to ask for one reared animal: what it cost, what selling it costs, and the part of "
        "the price you want to keep. The range comes from the survival's own. How shared costs fall on "
        "animals is a choice, and your hours are not in it."
    )
    ACTS: ClassVar[tuple[Act, ...]] = WhatIf.ACTS

    def __init__(self, species: str) -> None:
        super().__init__()
        self._species = species

    def title_words(self) -> str:
        return say("{species}: the least to ask for one", species=self._species)

    def specs(self) -> Sequence[FieldSpec]:
        currency = self.desk.ledger.currency
        return (
            FieldSpec(
                "margin",
                say("margin wanted"),
                share_of(say("a share"), "margin"),
                hint=say("of the price, such as 30 %"),
            ),
            FieldSpec("price", say("price asked"), amount(currency), hint=currency.code),
        )

    def question(self, values: Values) -> Callable[[], Told]:
        ledger, species, reckoner = self.desk.ledger, self._species, self.desk.reckoner

        def ask() -> Told:
            found = reckoner.ask(ledger.what_to_charge, species, margin=values["margin"] or 0.0)
            return least_price_told(found, values["price"], ledger.currency)

        return ask


def least_price_told(found: Charge, price: int | None, currency: Currency) -> Told:
    """The answer, with another price asked if one is given."""
    floor = found.floor
    sentences = found.words
    asked = found.price if price is None else float(price)
    if price is not None:
        verdict = floor.verdict(price) or say("that covers it")
        own = [word for word in found.words if not word.startswith("The list asks")]
        sentences = (*own, say("At {price}: {verdict}.", price=said(price, currency), verdict=verdict))
    rows = [_range_bar(say("it cost"), floor.cost, floor.cost_low, floor.cost_high, currency)]
    rows.append(_range_bar(say("selling it"), floor.selling, None, None, currency))
    rows.append(_range_bar(say("least to ask"), floor.floor, floor.floor, floor.floor_high, currency))
    if asked is not None:
        rows.append(_range_bar(say("price asked"), asked, None, None, currency))
    title = say(
        "One reared {stage}, {code} (with the limits of the survival)", stage=word(found.stage), code=currency.code
    )
    picture = Picture(say("Price floor {species}", species=found.species), (Bars(title, tuple(rows)),), sentences)
    filled = {"margin": "0 %", "price": "" if found.price is None else _money(found.price, currency)}
    beside = {"price": say("the price list's") if found.price is not None else say("the price list has none")}
    return Told(picture, filled, beside)


def _range_bar(name: str, value: float, low: float | None, high: float | None, currency: Currency) -> Bar:
    scale = 10**currency.digits
    text = _money(value, currency)
    if low is None or high is None:
        return Bar(name, value / scale, text)
    if low < value:
        text += say(" ({low} to {high})", low=_money(low, currency), high=_money(high, currency))
    else:
        text += say(" (up to {high})", high=_money(high, currency))
    return Bar(name, value / scale, text, low / scale, high / scale)


class BetterSurvival(WhatIf):
    """What better survival would be worth.

    Args:
        species: its code.
    """

    WHERE = "better-survival"
    HELP = say(
        "What one reared animal would cost if more, or fewer, of the young were reared for the same "
        "spending. It leaves out the little more feed that the survivors would eat."
    )
    ACTS: ClassVar[tuple[Act, ...]] = WhatIf.ACTS

    def __init__(self, species: str) -> None:
        super().__init__()
        self._species = species

    def title_words(self) -> str:
        return say("{species}: what better survival would be worth", species=self._species)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec(
                "survival", say("if reared were"), share_of(say("a share"), "survival"), hint=say("such as 80 %")
            ),
        )

    def question(self, values: Values) -> Callable[[], Told]:
        ledger, species, reckoner = self.desk.ledger, self._species, self.desk.reckoner

        def ask() -> Told:
            now = reckoner.ask(ledger.what_to_charge, species, survival=1.0)
            if now.better is None:
                raise BadInput(
                    say("None of {species} was reared yet, so there is no survival to start from.", species=species),
                    "survival",
                )
            own = min(1.0, round(now.better.survival + TEN_POINTS, 2))
            other: float = own if values["survival"] is None else values["survival"]
            return better_survival_told(
                reckoner.ask(ledger.what_to_charge, species, survival=other), own, ledger.currency
            )

        return ask


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

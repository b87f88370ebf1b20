"""Four decisions with what-if fields: sell now or rear on, how many to start, the least to ask, better survival.

Each asks the ledger; `tui/decided.py` says and draws what it answers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Literal

from ledger.errors import BadInput
from ledger.rearing.upkeep import a_day
from ledger.wording import say
from tui.actions import Act
from tui.decided import better_survival_told, how_many_told, least_price_told, rear_or_sell_told
from tui.forms.what_if import Told, Values, WhatIf
from tui.typed_words import known_word
from tui.verbs import typed
from tui.widgets.fields import FieldSpec, amount, nothing_beside, whole

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from ledger.rearing.buyers import Buyers

TEN_POINTS = 0.1
"""How much better survival the form asks about before another share is typed."""
USUAL_WANTED = 20
"""Reared animals wanted, where no lot says how many are usual (common practice, no source)."""


def share_of(what: str, field: str) -> Callable[[str], float]:
    """Reads a share: 85 % or 0.85."""
    return lambda text: typed.part_of_one(text, what, field)


def _buyers(text: str) -> int | Literal["all"]:
    """How many buyers are to come, or all of them."""
    return typed.buyers(known_word(text, ("all",)))


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
            self._counts[row.stage] = self._counts.get(row.stage, 0) + (row.count if row.free is None else row.free)
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
            upkeep = None if monthly is None or not number else a_day(monthly) / number
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
                "survival", say("survival"), share_of(say("a share"), "survival"), hint=say("from your own lots")
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


class LeastPrice(WhatIf):
    """The least to ask for a reared animal.

    Args:
        species: its code.
    """

    WHERE = "price-floor"
    HELP = say(
        "The least to ask for one reared animal: what it cost, what selling it costs, and the part of "
        "the price you want to keep. The range comes from the survival's own; while some are still rearing, "
        "the cost is one so far. How shared costs fall on animals is a choice, and your hours are not in it. "
        "What it cost is taken apart by e on its row in 6 Rearing; selling costs stand in 5 Costs, what "
        "buyers were charged for post in each sale."
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
                "survival", say("at a survival of"), share_of(say("a share"), "survival"), hint=say("such as 80 %")
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

"""The keeper's own thresholds beside what the books come to, and how long records are kept; reckoned aside."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.books.commands import SetTaxHelp
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import Currency, amount_text
from ledger.wording import capital, say, word
from tui.actions import Act
from tui.places.page import BACK, ReckonedPage, hanging
from tui.typed_words import means
from tui.verbs import typed
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.books.helps import TaxHelps

NONE = "none"


class HelpsPage(ReckonedPage):
    """Thresholds and dates to keep."""

    WHERE = "helps"
    WIDEST = 100
    HELP = say(
        "Figures you found in your own rules, beside what the books come to. Nothing here is a rule of "
        "any place; check your local rules, and ask a licensed adviser."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("threshold", "n", say("new"), say("Set a threshold of your own, or take one away, from a day on.")),
        Act("keep", "enter", say("keep years"), say("Set for how many years you keep records.")),
        BACK,
    )

    def title_words(self) -> str:
        return say("Thresholds and dates to keep")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.tax_helps

    def told(self, answer: object) -> None:
        helps: TaxHelps = answer  # type: ignore[assignment]
        self.show(hanging(help_lines(helps, self.desk.ledger.currency), self.width))

    async def action_threshold(self) -> None:
        """A threshold."""
        await self.desk.open_form(ThresholdForm())

    async def action_keep(self) -> None:
        """Years to keep."""
        await self.desk.open_form(KeepForm())


class _HelpForm(Form):
    HELP = say(
        "As you found it in your own rules; write where, so that you find it again. The word none takes "
        "it away from that day on. Check your local rules."
    )

    def _from_and_note(self) -> tuple[FieldSpec, FieldSpec]:
        ledger = self.desk.ledger
        return (
            FieldSpec("from_on", say("counts from"), day(ledger.today, self.desk.order), "today", in_days),
            FieldSpec(
                "note", say("where from"), text("note", limit=500), "", nothing_beside, hint=say("leaflet of 2025")
            ),
        )


class ThresholdForm(_HelpForm):
    """A threshold."""

    WHERE = "threshold"

    def heading(self) -> str:
        return say("A threshold to compare the year and any twelve months with")

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        read = amount(money)
        return (
            FieldSpec("name", say("your name for it"), text("name", limit=40, needed=True), "", nothing_beside),
            FieldSpec(
                "value",
                say("amount"),
                lambda typed_in: None if _none(typed_in) else read(typed_in),
                "",
                lambda value: say("taken away") if value is None else in_money(money)(value),
                hint=say("or none, to take it away"),
            ),
            *self._from_and_note(),
        )

    def command(self, values: Mapping[str, Any]) -> SetTaxHelp:
        return SetTaxHelp(
            say("threshold {values}", values=values["name"]), values["value"], values["from_on"], values["note"]
        )


class KeepForm(_HelpForm):
    """How long records are kept."""

    WHERE = "keep-years"

    def heading(self) -> str:
        return say("For how many years after its end the records of a year are kept")

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("value", say("years"), _years, "", nothing_beside, hint=say("or none, to take it away")),
            *self._from_and_note(),
        )

    def command(self, values: Mapping[str, Any]) -> SetTaxHelp:
        return SetTaxHelp(say("keep years"), values["value"], values["from_on"], values["note"])


def _none(written: str) -> bool:
    """Whether it is the word that takes a figure away."""
    bare = written.strip().casefold()
    return bare == NONE or means(bare, say("none{jot}", jot=""))


def _years(written: str) -> int | None:
    bare = written.strip()
    if not bare:
        raise BadInput(say("Write a number of years, or none."), field="value")
    return None if _none(bare) else typed.whole(bare, say("a number of years"), "value", most=100)


def help_lines(helps: TaxHelps, currency: Currency) -> list[str]:
    """Thresholds beside what the books come to, and how long records are kept."""
    from ledger.books.helps import CONTAINS, LABEL

    lines = []
    for one in helps.thresholds:
        amounts = [amount_text(minor, currency) for minor in (one.threshold, one.year_total, one.rolling, one.highest)]
        sign, note = "! " if one.reached else "", say(", {note}", note=one.note) if one.note else ""
        lines += [
            say(
                "{sign}{name}: {amounts} {code}{note}",
                sign=sign,
                name=one.name,
                amounts=amounts[0],
                code=currency.code,
                note=note,
            ),
            say("  this year {amounts}; the last twelve months {amounts2}", amounts=amounts[1], amounts2=amounts[2]),
            say(
                "  most in any twelve months {amounts}, to {highest_on}",
                amounts=amounts[3],
                highest_on=long_day(one.highest_on),
            ),
        ]
    lines += [
        say("Records of {year}: keep until {keep_until}", year=row.year, keep_until=long_day(row.keep_until))
        for row in helps.keep
    ]
    if not lines:
        lines = [say("Nothing is set. n sets a threshold of yours, Enter for how long you keep records.")]
    return [
        *lines,
        "",
        say("{label}. The totals are {contains}.", label=capital(word(LABEL)), contains=CONTAINS),
    ]

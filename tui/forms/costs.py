"""Forms about money spent: spend, pay, used up, disposed of, taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ledger.costs.commands import CorrectCost, Dispose, EndWindow, PayCost, RefundCost, ReverseCost, Spend
from ledger.costs.methods import FULL_SHARE, business_share, share_text
from ledger.errors import BadInput, Refused
from ledger.money import Currency, amount_text, said
from ledger.selling.commands import SpendFromBox
from ledger.selling.fairs import boxes_on
from ledger.text import quoted
from ledger.wording import say, strung, word
from tui.forms.whom import supplier_field
from tui.how_many import is_number, number_of
from tui.jot_spending import LASTING, refuse_life, refuse_period
from tui.jot_words import near
from tui.look import short
from tui.spans import read_span, span_words
from tui.tongue import tell
from tui.typed_words import length_in_english
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text
from tui.widgets.folded import FoldedForm
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.costs.listing import CostRow

EVERYTHING = "all"
FROM_BOX = say("from the box")


def life_words(days: int) -> str:
    """Days as such a time: '5 years'."""
    unit = next(unit for unit, many in sorted(LASTING.items(), key=lambda one: -one[1]) if days % many == 0)
    many = days // LASTING[unit]
    return tell(strung((str(many), word(f"{unit}s" if many > 1 else unit))))


def _life(typed: str) -> int | None:
    """'5 years' in days; None for nothing."""
    if not typed.strip():
        return None
    number, _, unit = typed.strip().casefold().partition(" ")
    days = LASTING.get(length_in_english(unit))
    if not is_number(number) or days is None:
        raise BadInput(
            say("{typed} is no length of time; write 5 years or 18 months.", typed=quoted(typed)), field="life"
        )
    return number_of(number, "life") * days


def _spent(money: Currency) -> Callable[[str], int | None]:
    """Reads what was spent; what came back is no cost below nought."""
    read = amount(money)

    def read_spent(typed: str) -> int | None:
        if typed.strip().startswith(("-", "\N{MINUS SIGN}")):
            raise BadInput(say("Money that came back is a refund: $ on the cost, in 5 Costs."), field="gross")
        return read(typed)

    return read_spent


def _new_kind(name: str, kinds: Iterable[str]) -> str:
    """That a kind of spending is new, with one that is much like it."""
    alike = near(name, kinds)
    return say("a new kind, beside {known}", known=alike[0]) if alike else say("a new kind of spending")


class SpendForm(FoldedForm):
    """Something was bought or paid for."""

    WHERE = "spend"
    HELP = say(
        "Feed and the like need no end: they last until the next is opened. Equipment needs the time it "
        "will last. Selling costs never become part of what an animal cost."
    )

    def __init__(self, subject: str = "", text: str = "", whom: str = EVERYTHING, supplier: str = "") -> None:
        super().__init__(subject)
        self._again = text, whom, supplier
        """What it was, for whom and from whom the last time: the next of the same ends the one in use."""

    def heading(self) -> str:
        return say("Money spent")

    def matters(self, key: str) -> bool:
        """The period is asked of a bill."""
        return key == "period" and self._kinds.get(self.typed("category").casefold()) == "overhead"

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        money = ledger.currency
        whom = self.desk.jot_setting().vocabulary
        kinds = self._kinds
        what, for_whom, supplier = self._again
        return (
            FieldSpec(
                "category",
                say("category"),
                text("category", limit=40, needed=True),
                self.subject,
                lambda name: word(kinds[name.casefold()]) if name.casefold() in kinds else _new_kind(name, kinds),
                hint=say("feed, heat, tubs, postage"),
                known=list(kinds),
            ),
            FieldSpec("gross", say("how much"), _spent(money), "", self._with_share),
            supplier_field(whom, supplier),
            FieldSpec("text", say("what it was"), text("text", limit=200), what, nothing_beside),
            FieldSpec("bought_on", say("when"), day(ledger.today, self.desk.order), "today", in_days),
            FieldSpec(
                "for_whom",
                say("for"),
                text("for", limit=200),
                for_whom,
                nothing_beside,
                hint=say("all, PACH, or P08 P09"),
                known=[EVERYTHING, *whom.species, *whom.stages],
                several=True,
            ),
            FieldSpec("life", say("lasts"), _life, "", nothing_beside, hint=say("equipment: 5 years")),
            FieldSpec(
                "period",
                say("period"),
                lambda typed: read_span(typed, ledger.today, self.desk.order),
                "",
                span_words,
                hint=say("nov, or 1 nov to 30 nov"),
                seldom=True,
            ),
            FieldSpec("tax", say("tax in it"), amount(money, empty=0), "", in_money(money)),
            FieldSpec("paid", say("paid"), str, "now", choices=("now", say("not yet"), *self.boxes())),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def share(self) -> int:
        """The business share of what is spent: what is set for its category on its day."""
        today = self.desk.ledger.today
        try:
            bought_on = day(today, self.desk.order)(self.typed("bought_on"))
        except Refused:
            bought_on = today
        return self.desk.ledger.ask(business_share, self.typed("category").casefold().strip(), bought_on)

    def _with_share(self, gross: int | None) -> str:
        """An amount in words, with what of it counts where that is a part."""
        if gross is None:
            return ""
        whole, share = said(gross, self.desk.ledger.currency), self.share()
        if share == FULL_SHARE:
            return whole
        return say("{amount}, of which {share} counts", amount=whole, share=share_text(share))

    def boxes(self) -> tuple[str, ...]:
        """The cash of the fair of today, which may have paid."""
        return (FROM_BOX,) if self.desk.ledger.ask(boxes_on, self.desk.ledger.today) else ()

    def command(self, values: Mapping[str, Any]) -> Spend | SpendFromBox:
        spend = self.spent(values)
        return SpendFromBox(spend) if values["paid"] == FROM_BOX else spend

    def spent(self, values: Mapping[str, Any]) -> Spend:
        """The cost alone."""
        category = values["category"].casefold()
        known = self._known_as(category, values["life"])
        if values["life"] and known is not None:
            refuse_life(category, known)
        kind = known or ("lasting" if values["life"] else "used up")
        period = values["period"]
        if period is not None:
            refuse_period(category, kind)
        species, lots = self._whom(values["for_whom"])
        scope = "none" if kind == "selling" else "species" if species else "lots" if lots else "all"
        return Spend(
            values["bought_on"],
            category,
            values["gross"],
            values["supplier"],
            values["text"],
            values["tax"],
            kind,
            scope,
            species,
            lots,
            None if period is None else period.first,
            None if period is None else period.last,
            life_days=values["life"],
            note=values["note"],
            unpaid=values["paid"] not in ("now", FROM_BOX),
        )

    def _known_as(self, category: str, life: int | None) -> str | None:
        """The kind a word has; None if it is new."""
        return self._kinds.get(category)

    @property
    def _kinds(self) -> Mapping[str, str]:
        """The kind of each category."""
        return self.desk.jot_setting().vocabulary.categories

    def _whom(self, typed: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Species and lots named; none for all animals."""
        vocabulary = self.desk.jot_setting().vocabulary
        names = [name for name in typed.upper().replace(",", " ").split() if name != EVERYTHING.upper()]
        species = tuple(name for name in names if name in vocabulary.species)
        lots = tuple(name for name in names if name in vocabulary.stages and name not in vocabulary.species)
        for name in names:
            if name not in species and name not in lots:
                raise BadInput(
                    say("{name} is not a species or a lot; write all, PACH, or P08 P09.", name=quoted(name)), "for_whom"
                )
        if species and lots:
            raise BadInput(say("A cost is for species or for lots, not for both; record two."), field="for_whom")
        return species, lots


class CorrectCostForm(SpendForm):
    """A cost as it should have been: it is taken back and recorded anew in one act."""

    WHERE = "correct-cost"
    HELP = say(
        "Write what is right. The cost is taken back and recorded anew with the rest as it was, in one act that ctrl-z "
        "takes back as a whole."
    )

    def __init__(self, row: CostRow) -> None:
        super().__init__(str(row.id))
        self._row = row

    def heading(self) -> str:
        return say("Correct cost {subject}", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        row, money, order = self._row, self.desk.ledger.currency, self.desk.order
        starts = {
            "category": row.category,
            "gross": amount_text(row.gross, money),
            "supplier": row.supplier,
            "text": row.text,
            "bought_on": short(row.bought_on, order),
            "for_whom": " ".join(row.whom) if row.scope in ("species", "lots", "brood") else EVERYTHING,
            "life": life_words(row.life_days) if row.life_days else "",
            "period": self._period(),
            "tax": amount_text(row.tax, money) if row.tax else "",
            "paid": "now" if row.paid >= row.gross else "not yet",
            "note": row.note,
        }
        return [replace(spec, start=starts[spec.key]) for spec in super().specs()]

    def share(self) -> int:
        return self._row.share

    def boxes(self) -> tuple[str, ...]:
        return ()

    def command(self, values: Mapping[str, Any]) -> CorrectCost:  # type: ignore[override]
        spend = self.spent(values)
        if spend.kind == "overhead" and values["period"] is None and self._period():
            # Taken out of the field: a year from the day on, not the days it had.
            year = spend.bought_on + dt.timedelta(days=364)
            spend = replace(spend, window_from=spend.bought_on, window_to=year)
        return CorrectCost(self._row.id, spend)

    def _known_as(self, category: str, life: int | None) -> str | None:
        # A thing recorded as lasting under a word that is otherwise of another kind may stay what it is.
        row = self._row
        stays = row.kind == "lasting" and category == row.category and bool(life)
        return "lasting" if stays else super()._known_as(category, life)

    def _period(self) -> str:
        """The period of a bill as it stands; nothing where it is the year from its day on."""
        row = self._row
        if row.kind != "overhead" or row.window_from is None or row.window_to is None:
            return ""
        if (row.window_from, row.window_to) == (row.bought_on, row.bought_on + dt.timedelta(days=364)):
            return ""
        return f"{row.window_from.isoformat()} to {row.window_to.isoformat()}"


class PayCostForm(Form):
    """A bill is paid."""

    WHERE = "pay-cost"

    def __init__(self, subject: str, owed: int) -> None:
        super().__init__(subject)
        self._owed = owed

    def heading(self) -> str:
        return say("Cost {subject}: paid", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("amount", say("how much"), amount(money), amount_text(self._owed, money), in_money(money)),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> PayCost | RefundCost:
        return PayCost(int(self.subject), values["on"], values["amount"], values["note"])


class RefundForm(PayCostForm):
    """Money came back from the supplier."""

    WHERE = "refund-cost"
    HELP = say("What came back lowers what the thing cost, also what animals carry of it from then on.")

    def heading(self) -> str:
        return say("Cost {subject}: money came back", subject=self.subject)

    def command(self, values: Mapping[str, Any]) -> RefundCost:
        return RefundCost(int(self.subject), values["on"], values["amount"], values["note"])


class UsedUpForm(Form):
    """A bag is finished."""

    WHERE = "used-up"

    def heading(self) -> str:
        return say("Cost {subject}: used up", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        ahead = day(self.desk.ledger.today, self.desk.order)
        return (
            FieldSpec("window_to", say("last day"), ahead, "today", in_days),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> EndWindow:
        return EndWindow(int(self.subject), self.desk.ledger.today, values["window_to"], values["note"])


class DisposeForm(Form):
    """Equipment is sold or thrown away."""

    WHERE = "dispose"

    def heading(self) -> str:
        return say("Cost {subject}: sold or thrown away", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec(
                "proceeds", say("sold for"), amount(money, empty=0), "", in_money(money), hint=say("if anything")
            ),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> Dispose:
        return Dispose(int(self.subject), values["on"], values["proceeds"], values["note"])


class TakeBackCostForm(Form):
    """A cost was entered by mistake."""

    WHERE = "take-back-cost"

    def heading(self) -> str:
        return say("Take back cost {subject}", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("note", say("why"), text("note", limit=2000), "", nothing_beside, hint=say("if you like")),)

    def command(self, values: Mapping[str, Any]) -> ReverseCost:
        return ReverseCost(int(self.subject), values["note"])

"""Forms of selling: a sale from a lot or of what a hold promised, its payments, and the credit that corrects it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput, Refused
from ledger.money import amount_text
from ledger.selling.commands import (
    Charge,
    CreditLine,
    CreditSale,
    LineOf,
    Paid,
    Sell,
    TakePayment,
)
from ledger.stock.stock_rows import StockRow
from ledger.stock.words import SEXES
from ledger.wording import say, strung, word
from tui.forms.animals import NO_TUB, LotForm, places_of, said, tub_of
from tui.forms.left import SaysWhatIsLeft
from tui.forms.lots import ORIGINS
from tui.forms.ways import ALL, LATER, OFFERED_CHANNELS, about_picks, asking_why, is_free
from tui.jot_trade import read_sale_lines
from tui.tongue import on_paper
from tui.typed_words import known_word
from tui.ways import METHODS
from tui.widgets.fields import (
    FieldSpec,
    amount,
    amount_or_none,
    day,
    in_days,
    in_money,
    nothing_beside,
    text,
    whole,
)
from tui.widgets.folded import FoldedForm
from tui.widgets.form import Form

CLAIMS = {words: code for words, code in ORIGINS.items() if code != "CB"}
"""Words for an origin to state; a numbered generation is written as its code, such as F2."""
NO, OVERPAID = "no", say("yes, to give back")


class SaleForm(SaysWhatIsLeft, FoldedForm, LotForm):
    """A sale of animals from one lot, or of what a hold promised.

    Args:
        subject: code of the lot, or nothing.
        stage, sex, tub: of the row it was opened from.
        count: how many are likely.
        hold: number of the hold that is taken up; the lines are then what it promised.
        buyer: who is likely.
    """

    WHERE = "sale"
    HELP = say(
        "The price comes from your price list unless you write another. The origin is taken from the lot "
        "and printed as it is derived. Enter records the sale and gives it its number. What is seldom said "
        "is folded away until it matters; ctrl-y shows every field."
    )

    def __init__(
        self,
        subject: str = "",
        stage: str | None = None,
        sex: str | None = None,
        tub: str | None = None,
        *,
        count: int = 1,
        hold: str = "",
        buyer: str = "",
    ) -> None:
        super().__init__(subject)
        self._stage, self._sex, self._tub = stage, sex, tub
        self._count, self._hold, self._buyer = count, hold, buyer
        self._found: dict[str, Sequence[StockRow]] = {}
        """The animals of each lot that was named."""

    @property
    def draft_name(self) -> str:
        return f"sale:{self._hold or '/'.join((self.subject, self._stage or '', self._sex or '', self._tub or ''))}"

    def heading(self) -> str:
        if self._hold:
            return say("Sell what {hold} promised", hold=self._hold)
        return say("Sell from {subject}", subject=self.subject) if self.subject else say("A sale")

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        money, optional = ledger.currency, amount_or_none(ledger.currency)
        lots = list(self.desk.jot_setting().vocabulary.stages)
        what: tuple[FieldSpec, ...] = ()
        if not self._hold:
            lot = FieldSpec("lot", say("from lot"), text("lot", needed=True), "", nothing_beside, known=lots)
            what = (
                *(() if self.subject else (lot,)),
                FieldSpec("count", say("how many"), whole("animals"), str(self._count), self.left_beside),
            )
        price = FieldSpec(
            "price", say("price"), optional, "", in_money(money), hint=say("of all; empty: your price list")
        )
        buyers = list(self.desk.jot_setting().vocabulary.customers)
        return (
            *what,
            FieldSpec(
                "customer", say("buyer"), text("buyer"), self._buyer, nothing_beside, hint=say("or none"), known=buyers
            ),
            *(() if self._hold else (price,)),
            FieldSpec("channel", say("how"), str, "collection", choices=OFFERED_CHANNELS),
            FieldSpec("paid", say("paid"), str, ALL, choices=(ALL, LATER)),
            FieldSpec("method", say("by{method}", method=""), str, "cash", choices=METHODS),
            FieldSpec("sold_on", say("when"), day(ledger.today, self.desk.order), "today", in_days),
            *(self._which_animals() if not self._hold else ()),
            *(replace(spec, seldom=True) for spec in self._seldom()),
        )

    def matters(self, key: str) -> bool:
        """Postage matters by post, the note when there is a price to explain, the tub of animals that lie apart."""
        if key == "tub":
            return len(self._lie_in()) > 1
        if key == "postage":
            return self.typed("channel") == "post"
        return key == "note" and not self._hold and is_free(self.typed("price"))

    def _lie_in(self) -> Mapping[str, int]:
        """Where the animals lie that are meant as the fields now stand; the lot is asked once."""
        code = (self.subject or self.typed("lot")).strip().upper()
        if code not in self._found:
            known = code in self.desk.jot_setting().vocabulary.stages
            self._found[code] = self.desk.ledger.stock(lot=code) if known else ()
        stage, sex = (row.read() for row in self.rows if row.spec.key in ("stage", "sex"))
        return places_of(
            row
            for row in self._found[code]
            if stage in (None, row.stage) and (sex is None or sex in (row.sex, strung((row.sure, row.sex)).strip()))
        )

    def _seldom(self) -> tuple[FieldSpec, ...]:
        """What the usual sale says nothing of."""
        money = self.desk.ledger.currency
        return (
            FieldSpec(
                "postage", say("postage"), amount_or_none(money), "", in_money(money), hint=say("charged to the buyer")
            ),
            FieldSpec("extra", say("extra"), whole("animals", least=0), "0", nothing_beside, hint=say("given on top")),
            FieldSpec(
                "more",
                say("and also"),
                text("lines", limit=300),
                "",
                nothing_beside,
                hint=say("E03 2 adults at 6.00; of tub 2: E03/2 2 adults"),
                known=self._animals_known(),
                several=True,
            ),
            FieldSpec(
                "note", say("note"), text("note", limit=2000), "", nothing_beside, hint=say("of a price of 0: why")
            ),
            *(self._of_the_line() if not self._hold else ()),
        )

    def _animals_known(self) -> list[str]:
        """Lots with animals, and their tubs, as a line of the sale begins with them."""
        words = self.desk.jot_setting().vocabulary
        tubs = (f"{lot}/{tub}" for lot in words.alive for tub, alive in words.tubs.get(lot, {}).items() if alive)
        return [*words.alive, *tubs]

    def explained(self, refusal: Refused) -> Refused:
        """What is refused of another lot than that of the form is about the lines that are sold with it."""
        code = refusal.facts.get("lot")
        if self._hold or not code or not self.typed("more").strip():
            return refusal
        own = (self.subject or self.typed("lot")).strip().upper()
        return refusal if code == own else about_picks(refusal, "more")

    def _of_the_line(self) -> tuple[FieldSpec, ...]:
        """What is rarely said of a line, last: what is taken off its price, an origin weaker than the records give."""
        money = self.desk.ledger.currency
        return (
            FieldSpec(
                "discount", say("discount"), amount(money, empty=0), "", in_money(money), hint=say("off the price")
            ),
            FieldSpec(
                "claim",
                say("origin stated"),
                self._claim,
                "",
                nothing_beside,
                hint=say("only to claim less"),
                known=[*CLAIMS],
            ),
        )

    @staticmethod
    def _claim(typed: str) -> str | None:
        """The code of an origin to state; None: as derived. Words it does not know are for the ledger to judge."""
        return CLAIMS.get(typed.strip().casefold(), typed.strip().upper()) or None

    def _which_animals(self) -> tuple[FieldSpec, ...]:
        """Stage, sex and tub: seldom another than those of the row the form was opened from."""
        specs: Sequence[FieldSpec] = (
            self.which()
            if self.subject
            else [
                *(
                    FieldSpec(key, word(key), _told(known), "", nothing_beside, hint=say("if it matters"))
                    for key, known in (("stage", self._stages()), ("sex", SEXES))
                ),
                FieldSpec("tub", say("tub"), tub_of(), "", nothing_beside, hint=say("2, or no tub"), known=[NO_TUB]),
            ]
        )
        seldom = {"tub"} if self.subject else {"sex", "tub"}
        return tuple(replace(spec, seldom=self._stage is not None or spec.key in seldom) for spec in specs)

    def _stages(self) -> tuple[str, ...]:
        ladders = self.desk.jot_setting().vocabulary.stages.values()
        return tuple(dict.fromkeys(name for ladder in ladders for name, _ in ladder))

    def command(self, values: Mapping[str, Any]) -> Sell:
        lines: list[LineOf] = []
        if not self._hold:
            lot = self.subject or values["lot"]
            lines.append(
                LineOf(
                    lot,
                    values["count"],
                    values["price"],
                    values["stage"],
                    values["sex"],
                    values["tub"],
                    extra=values["extra"],
                    discount=values["discount"] or 0,
                    claim=values["claim"],
                    price_zero_reason=values["note"] if values["price"] == 0 else "",
                )
            )
        if values["more"]:
            lines.extend(read_sale_lines(values["more"], self.desk.jot_setting()))
        sale = Sell(
            tuple(lines),
            values["sold_on"],
            values["customer"],
            values["channel"],
            (Charge("postage", values["postage"]),) if values["postage"] else (),
            to_post=values["channel"] == "post",
            hold=self._hold or None,
            note="" if values.get("price") == 0 else values["note"],
        )
        if values["paid"] != ALL:
            return sale
        owed = self._owed(sale)
        return replace(sale, paid=(Paid(owed, values["method"]),)) if owed else sale

    def _refused(self, refusal: Refused) -> None:
        super()._refused(asking_why(refusal))

    def also(self, plan: Any) -> Sequence[str]:
        """The origin of each line with its evidence, and the gaps behind it, as the receipt will state them."""
        lines: list[str] = []
        if not self._hold:
            own = plan.draft.lines[0].part.lot
            parts = [line.part for line in plan.draft.lines if line.part.lot == own]
            self._still_there = self.what_is_left(parts, plan.draft.sold_on)
        for line in plan.draft.lines:
            lines += [
                say("Origin: {text}", text=on_paper(line.stated.text)),
                on_paper(line.stated.sentence, ending=False),
            ]
        return tuple(dict.fromkeys(lines))

    def _owed(self, sale: Sell) -> int:
        """What the ledger says is to be paid."""
        plan: Any = self.desk.ledger.preview(sale)
        total: int = plan.owed
        return total


def _told(known: Sequence[str]) -> Callable[[str], str | None]:
    """Reads one of the known words in the language of the screen, too."""
    return lambda typed: said(known_word(typed, known))


class PaymentForm(Form):
    """Money received for a sale, or given back when more was paid than is due."""

    WHERE = "payment"

    def __init__(self, subject: str, owed: int) -> None:
        super().__init__(subject)
        self._owed = owed

    def heading(self) -> str:
        return (
            say("{sale}: money received", sale=self.subject)
            if self._owed >= 0
            else say("{sale}: money given back", sale=self.subject)
        )

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("amount", say("how much"), amount(money), amount_text(abs(self._owed), money), in_money(money)),
            FieldSpec("method", say("by{method}", method=""), str, "cash", choices=METHODS),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            *self._of_received(),
            FieldSpec("note", say("note"), text("note"), "", nothing_beside),
        )

    def _of_received(self) -> tuple[FieldSpec, ...]:
        if self._owed < 0:
            return ()
        money = self.desk.ledger.currency
        return (
            FieldSpec("fee", say("fee"), amount(money, empty=0), "", in_money(money), hint=say("kept by bank or card")),
            FieldSpec("overpaid", say("too much"), str, NO, choices=(NO, OVERPAID)),
        )

    def command(self, values: Mapping[str, Any]) -> TakePayment:
        if self._owed < 0:
            return TakePayment(self.subject, -values["amount"], values["on"], values["method"], values["note"])
        return TakePayment(
            self.subject,
            values["amount"],
            values["on"],
            values["method"],
            values["note"],
            values["fee"],
            values["overpaid"] == OVERPAID,
        )


class CreditForm(Form):
    """A sale is undone, in full or by lines; nothing on it is edited."""

    WHERE = "credit"
    HELP = say(
        "A credit in full takes the sale back: its animals return to where they were, its money is given "
        "back. For a part write line:animals:amount, such as 1:3:9.00; 1:3:9.00:2 when two of the three "
        "came back alive."
    )

    def heading(self) -> str:
        return say("{subject}: credit", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("reason", say("why"), text("reason", limit=500, needed=True), "", nothing_beside),
            FieldSpec("lines", say("only lines"), self._lines, "", nothing_beside, hint=say("empty: all; or 1:3:9.00")),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("refund", say("money"), str, say("given back now"), choices=(say("given back now"), "later")),
            FieldSpec("method", say("by{method}", method=""), str, "cash", choices=METHODS),
        )

    def _lines(self, typed: str) -> tuple[CreditLine, ...]:
        """Lines of a credit, spaces between them; nothing for the whole sale."""
        from tui.verbs.selling import read_credit_line

        return tuple(read_credit_line(part, self.desk.ledger.currency) for part in typed.split())

    def command(self, values: Mapping[str, Any]) -> CreditSale:
        if not values["reason"]:
            raise BadInput(say("Say why it is credited."), field="reason")
        refund = values["refund"] == "given back now"
        return CreditSale(self.subject, values["on"], values["reason"], values["lines"], refund, values["method"])

"""Forms of selling: a sale, a hold and what becomes of it, a price, payment, credit, a note to the buyer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ledger.errors import BadInput
from ledger.money import amount_text
from ledger.origin.rules import ENDING
from ledger.selling.commands import (
    Charge,
    CreditLine,
    CreditSale,
    DecideDeposit,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    ReleaseHold,
    ReplaceShort,
    Sell,
    SetPrice,
    TakePayment,
    TellOfSale,
)
from tui.forms.animals import LotForm, said
from tui.jot_trade import read_sale_lines, read_until
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
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.selling.listing import PriceRow

CHANNELS = ("collection", "post", "fair", "trade", "other")
METHODS = ("cash", "transfer", "card")
ALL, LATER = "all of it", "later"
NO, OVERPAID = "no", "yes, to give back"


class SaleForm(LotForm):
    """A sale of animals from one lot, or of what a hold promised.

    Args:
        subject: code of the lot, or nothing.
        stage, sex, tub: of the row it was opened from.
        count: how many are likely.
        hold: number of the hold that is taken up; the lines are then what it promised.
        buyer: who is likely.
    """

    WHERE = "sale"
    HELP = (
        "The price comes from your price list unless you write another. The origin is taken from the lot and printed "
        "as it is derived. Enter records the sale and gives it its number."
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
        super().__init__(subject, stage, sex, tub)
        self._count, self._hold, self._buyer = count, hold, buyer

    @property
    def draft_name(self) -> str:
        return f"sale:{self._hold or '/'.join((self.subject, self._stage or '', self._sex or '', self._tub or ''))}"

    def heading(self) -> str:
        if self._hold:
            return f"Sell what {self._hold} promised"
        return f"Sell from {self.subject}" if self.subject else "A sale"

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        money, optional = ledger.currency, amount_or_none(ledger.currency)
        lots = list(self.desk.jot_setting().vocabulary.stages)
        what: tuple[FieldSpec, ...] = ()
        if not self._hold:
            lot = FieldSpec("lot", "from lot", text("lot", needed=True), "", nothing_beside, known=lots)
            what = (
                *(() if self.subject else (lot,)),
                FieldSpec("count", "how many", whole("animals"), str(self._count), nothing_beside),
            )
        price = FieldSpec("price", "price", optional, "", in_money(money), hint="of all; empty: your price list")
        buyers = list(self.desk.jot_setting().vocabulary.customers)
        return (
            *what,
            FieldSpec("customer", "buyer", text("buyer"), self._buyer, nothing_beside, hint="or none", known=buyers),
            *(() if self._hold else (price,)),
            FieldSpec("channel", "how", str, "collection", choices=CHANNELS),
            FieldSpec("paid", "paid", str, ALL, choices=(ALL, LATER)),
            FieldSpec("method", "by", str, "cash", choices=METHODS),
            *(self._which_animals() if not self._hold else ()),
            FieldSpec("postage", "postage", optional, "", in_money(money), hint="charged to the buyer"),
            FieldSpec("extra", "extra", whole("animals", least=0), "0", nothing_beside, hint="given on top"),
            FieldSpec("more", "and also", text("lines", limit=300), "", nothing_beside, hint="E03 2 adults at 6.00"),
            FieldSpec("sold_on", "when", day(ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", "note", text("note", limit=2000), "", nothing_beside),
        )

    def _which_animals(self) -> tuple[FieldSpec, ...]:
        if self.subject:
            return self.which()
        return tuple(
            FieldSpec(key, key, said, "", nothing_beside, hint="if it matters") for key in ("stage", "sex", "tub")
        )

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
            note=values["note"],
        )
        if values["paid"] != ALL:
            return sale
        owed = self._owed(sale)
        return replace(sale, paid=(Paid(owed, values["method"]),)) if owed else sale

    def also(self, plan: Any) -> Sequence[str]:
        """The origin of each line with its evidence, and the gaps behind it, as the receipt will state them."""
        lines: list[str] = []
        for line in plan.draft.lines:
            lines += [f"Origin: {line.stated.text}", line.stated.sentence.removesuffix(ENDING).rstrip()]
        return tuple(dict.fromkeys(lines))

    def _owed(self, sale: Sell) -> int:
        """What the ledger says is to be paid."""
        plan: Any = self.desk.ledger.preview(sale)
        total: int = plan.owed
        return total


class HoldForm(LotForm):
    """A promise of animals to a buyer."""

    WHERE = "hold"
    HELP = "Held animals are off the ready list until the hold is taken up, lapses at its deadline or is released."

    def heading(self) -> str:
        return f"Hold from {self.subject}"

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        setting = self.desk.jot_setting()
        return (
            FieldSpec("count", "how many", whole("animals"), "1", nothing_beside),
            FieldSpec(
                "customer",
                "buyer",
                text("buyer", needed=True),
                "",
                nothing_beside,
                known=list(setting.vocabulary.customers),
            ),
            FieldSpec("until", "until", lambda typed: read_until(typed, setting), "", str, hint="fri, or 15 jun 18:00"),
            FieldSpec("deposit", "deposit", amount(money, empty=0), "", in_money(money), hint="if any"),
            FieldSpec("method", "by", str, "cash", choices=METHODS),
            *self.which(),
            FieldSpec("note", "note", text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> PlaceHold:
        pick = Pick(self.subject, values["count"], values["stage"], values["sex"], values["tub"])
        return PlaceHold(
            values["customer"],
            (pick,),
            self.desk.ledger.today,
            values["until"],
            values["deposit"],
            values["method"],
            values["note"],
        )


class PriceForm(Form):
    """A price from a day on, for one animal or a pack.

    Args:
        species, stage: of what is sold.
        like: a price on the list that is changed; `None`: a new one.
    """

    WHERE = "price"
    HELP = (
        "A price counts from its day on; sales keep the price they were made at. The pack is what stands on the list, "
        "such as pair 1.1 or ootheca; left empty, it is named by how many animals are in it."
    )

    def __init__(self, species: str, stage: str, like: PriceRow | None = None) -> None:
        super().__init__(f"{species} {stage}" + (f" {like.pack} {like.sex} {like.buyer}" if like else ""))
        self._species, self._stage, self._like = species, stage, like

    def heading(self) -> str:
        return f"Price of {self._stage} of {self._species}"

    def specs(self) -> Sequence[FieldSpec]:
        money, like = self.desk.ledger.currency, self._like
        animals, sex, buyer = (like.animals, like.sex, like.buyer) if like else (1, "any", "retail")
        return (
            FieldSpec("amount", "price", amount(money), "", in_money(money)),
            FieldSpec("animals", "for how many", whole("animals"), str(animals), nothing_beside),
            FieldSpec("sex", "sex", str, sex, choices=("any", "male", "female", "unsexed")),
            FieldSpec("buyer", "buyers", str, buyer, choices=("retail", "trade")),
            FieldSpec("from_on", "from", day(self.desk.ledger.today, self.desk.order, ahead=True), "today", in_days),
            FieldSpec("pack", "pack", text("pack"), like.pack if like else "", nothing_beside, hint="if it has a name"),
            FieldSpec(
                "extra",
                "extra",
                whole("animals", least=0),
                str(like.extra) if like else "0",
                nothing_beside,
                hint="given on top",
            ),
        )

    def command(self, values: Mapping[str, Any]) -> SetPrice:
        animals = values["animals"]
        return SetPrice(
            self._species,
            self._stage,
            values["amount"],
            values["from_on"],
            animals,
            values["sex"],
            values["pack"] or ("single" if animals == 1 else f"pack of {animals}"),
            values["buyer"],
            values["extra"],
        )


class ReleaseForm(Form):
    """Release a hold, or decide on the deposit of one that is over."""

    WHERE = "release"

    def __init__(self, subject: str, *, over: bool = False, deposit: int = 0) -> None:
        super().__init__(subject)
        self._over, self._deposit = over, deposit

    def heading(self) -> str:
        return f"The deposit of {self.subject}" if self._over else f"Release {self.subject}: its animals are free again"

    def specs(self) -> Sequence[FieldSpec]:
        held = (FieldSpec("deposit", "deposit", str, "refunded", choices=("refunded", "kept")),)
        return (
            *(held if self._deposit else ()),
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", "note", text("note"), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> ReleaseHold | DecideDeposit:
        if self._over:
            return DecideDeposit(self.subject, values["deposit"], values["on"], values["note"])
        return ReleaseHold(self.subject, values["on"], values.get("deposit", "none"), values["note"])


class PaymentForm(Form):
    """Money received for a sale, or given back when more was paid than is due."""

    WHERE = "payment"

    def __init__(self, subject: str, owed: int) -> None:
        super().__init__(subject)
        self._owed = owed

    def heading(self) -> str:
        return f"{self.subject}: money {'received' if self._owed >= 0 else 'given back'}"

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("amount", "how much", amount(money), amount_text(abs(self._owed), money), in_money(money)),
            FieldSpec("method", "by", str, "cash", choices=METHODS),
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
            *self._of_received(),
            FieldSpec("note", "note", text("note"), "", nothing_beside),
        )

    def _of_received(self) -> tuple[FieldSpec, ...]:
        if self._owed < 0:
            return ()
        money = self.desk.ledger.currency
        return (
            FieldSpec("fee", "fee", amount(money, empty=0), "", in_money(money), hint="kept by bank or card"),
            FieldSpec("overpaid", "too much", str, NO, choices=(NO, OVERPAID)),
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


class ReplaceForm(Form):
    """Other animals in place of those of a sale that died before posting."""

    WHERE = "replace"

    def heading(self) -> str:
        return f"{self.subject}: set others aside in place of those that are gone"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("position", "line", whole("the line"), "1", nothing_beside),
            FieldSpec("tub", "from tub", said, "", nothing_beside, hint="if it matters"),
        )

    def command(self, values: Mapping[str, Any]) -> ReplaceShort:
        return ReplaceShort(self.subject, values["position"], self.desk.ledger.today, values["tub"])


class CreditForm(Form):
    """A sale is undone, in full or by lines; nothing on it is edited."""

    WHERE = "credit"
    HELP = (
        "A credit in full takes the sale back: its animals return to where they were, its money is given back. For a "
        "part write line:animals:amount, such as 1:3:9.00; 1:3:9.00:2 when two of the three came back alive."
    )

    def heading(self) -> str:
        return f"{self.subject}: credit"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("reason", "why", text("reason", limit=500, needed=True), "", nothing_beside),
            FieldSpec("lines", "only lines", self._lines, "", nothing_beside, hint="empty: all; or 1:3:9.00"),
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("refund", "money", str, "given back now", choices=("given back now", "later")),
            FieldSpec("method", "by", str, "cash", choices=METHODS),
        )

    def _lines(self, typed: str) -> tuple[CreditLine, ...]:
        """Lines of a credit, spaces between them; nothing for the whole sale."""
        from tui.verbs.selling import read_credit_line

        return tuple(read_credit_line(part, self.desk.ledger.currency) for part in typed.split())

    def command(self, values: Mapping[str, Any]) -> CreditSale:
        if not values["reason"]:
            raise BadInput("Say why it is credited.", field="reason")
        refund = values["refund"] == "given back now"
        return CreditSale(self.subject, values["on"], values["reason"], values["lines"], refund, values["method"])


class TellForm(Form):
    """The note that tells a buyer of an origin stated wrongly."""

    WHERE = "tell"
    HELP = "The line stays as it was sold; the note says what was stated then and what the records give now."

    def heading(self) -> str:
        return f"{self.subject}: tell the buyer of an origin stated wrongly"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("why", "why", text("reason", limit=500), "", nothing_beside, hint="what was found out"),
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> TellOfSale:
        return TellOfSale(self.subject, values["on"], values["why"])

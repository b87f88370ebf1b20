"""What was spent on what: feed in use, equipment, bills; each cost recorded once and never edited."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.costs.methods import FULL_SHARE, share_text
from ledger.money import amount_text, said
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.forms.costs import (
    EVERYTHING,
    CorrectCostForm,
    DisposeForm,
    PayCostForm,
    RefundForm,
    SpendForm,
    TakeBackCostForm,
    UsedUpForm,
)
from tui.places.listing import LIST_ACTS, Listing
from tui.widgets.foot import Answer
from tui.widgets.paged import PAGE, ROOMY, Column, Page, Row

if TYPE_CHECKING:
    from ledger.costs.listing import CostRow

WIDE = 110
WENT = Act("explain", "e", say("explain"), say("Where this cost went: sold, still carried, written off, not used up."))


def state_of(row: CostRow) -> tuple[str, str]:
    """What is so of a cost, in a word with its sign."""
    if row.reverses is not None:
        return say("takes back"), "$quiet"
    if row.taken_back:
        return say("taken back"), "$quiet"
    if row.paid < row.gross:
        return (say("! part paid") if row.paid else say("! unpaid")), "$warning"
    if row.refunded:
        return (say("money back") if row.refunded < row.gross else say("all back")), ""
    if row.disposed_on is not None:
        return say("gone"), "$quiet"
    if row.in_store is not None:
        return (say("in store"), "") if row.in_store else (say("taken out"), "$quiet")
    if row.kind == "used up" and row.window_to is None:
        return say("= in use"), ""
    return say("✓ paid"), "$success"


class CostsPlace(Listing):
    """Costs, newest first."""

    NAME = "costs"
    FOLLOWS = "cost"
    WHERE = "costs"
    TITLE_WORDS = say("Costs")
    HELP = say(
        "What is spent here lands on the animals it was spent on. Feed needs no end: it lasts until the "
        "next is opened. Selling costs (postage, fees) never become part of what an animal cost. They stand in "
        "the order they were recorded in; an amount is less what came back of it. "
        "Where the household has a part in it, the business part stands before what it was for: 30 % all."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("spend", "minus", say("spend"), say("Record what was bought or paid for.")),
        Act("new_cost", "n", say("new"), say("Record what was bought or paid for, as - does."), shown=False),
        Act(
            "open_cost",
            "enter",
            say("open{act}", act=""),
            say("Where the cost of this row went, as e does."),
            shown=False,
        ),
        Act(
            "correct",
            "ctrl+e",
            say("correct"),
            say("Correct this cost: its category, amount, day, shop; it is taken back and recorded anew in one act."),
        ),
        Act("pay", "p", say("pay"), say("Record that this bill was paid.")),
        Act("used_up", "u", say("used up"), say("This bag is finished.")),
        Act("dispose", "G", say("dispose"), say("This equipment was sold or thrown away.")),
        WENT,
        Act(
            "in_use",
            "ctrl+u",
            say("in use"),
            say("Feed and the like that is open, and how long it is thought to last."),
        ),
        Act(
            "store",
            "left_parenthesis",
            say("store"),
            say("What is in store, weighed or counted out as it is used."),
            shown=False,
        ),
        Act(
            "equipment",
            "Q",
            say("equipment"),
            say("The register of lasting things, with what is left of each."),
            shown=False,
        ),
        Act(
            "by_month",
            "b",
            say("by ..."),
            say("By month: what was spent on each kind, and where that went."),
            shown=False,
        ),
        Act("power", "ctrl+t", say("power"), say("Record power reckoned from watts and the tariff."), shown=False),
        Act("hours", "colon", say("own hours"), say("Your own time: a memo that is in no total."), shown=False),
        Act("again", "a", say("again"), say("Spend on the same again."), shown=False),
        Act(
            "refund",
            "dollar_sign",
            say("refund"),
            say("Record a refund: money that came back from the supplier."),
            shown=False,
        ),
        Act("take_back_cost", "x", say("take back"), say("Take back a cost that was entered by mistake.")),
        *LIST_ACTS,
    )
    COLUMNS = (
        Column(say("no."), 4, right=True, above=ROOMY),
        Column(say("day"), 11, above=ROOMY),
        Column(say("category"), 11),
        Column(say("from whom"), above=ROOMY),
        Column(say("for"), 9, above=ROOMY),
        Column(say("amount"), 8, right=True),
        Column(say("state"), 11),
        Column(say("text"), 24, above=WIDE),
    )
    EMPTY = (say("Nothing was spent yet."), say("Press -, or write: space, then feed 24.00 and the shop's name"))

    def __init__(self) -> None:
        super().__init__()
        self._costs: dict[str, CostRow] = {}

    def page(self, after: str | None) -> Page:
        if after is None:
            self._costs.clear()
        rows = self.desk.ledger.costs(PAGE, None if after is None else int(after))
        self._costs.update({str(row.id): row for row in rows})
        return Page([self._row(row) for row in rows], len(rows) == PAGE)

    def _row(self, row: CostRow) -> Row:
        unpaid = say("unpaid") if row.paid < row.gross and not row.taken_back and row.reverses is None else ""
        whom = strung(row.whom, " ") if row.whom else word({"none": row.sale or "selling"}.get(row.scope, row.scope))
        if row.kind == "animals":
            # The price of animals bought lies on them alone.
            whom = ""
        if row.share != FULL_SHARE:
            # First, so that it is not what is cut.
            whom = strung((share_text(row.share), whom))
        return Row(
            str(row.id),
            (
                (str(row.id), "bold"),
                self.day(row.bought_on),
                word(row.category),
                row.supplier,
                whom,
                amount_text(-row.gross if row.reverses else row.gross - row.refunded, self.desk.ledger.currency),
                state_of(row),
                row.text,
            ),
            strung((part for part in (unpaid, row.note) if part), " "),
        )

    def detail(self, key: str) -> str:
        row = self._costs[key]
        money = self.desk.ledger.currency
        if row.reverses is not None:
            return strung((say("Takes back cost {cost}.", cost=row.reverses), row.note), " ")
        used = ""
        if row.window_from and row.kind == "lasting":
            began = self.day(row.window_from)
            used = say(
                " Used up over {days} from {day}.", days=counted(row.life_days or 0, "{n} day", "{n} days"), day=began
            )
        elif row.window_from and row.window_to:
            began, ended = self.day(row.window_from), self.day(row.window_to)
            used = say(" Used up from {day} to {until}.", day=began, until=ended)
        elif row.window_from:
            used = say(
                " Used up from {day}, until the next {item} for the same animals is opened, or you say when it was "
                "used up (u).",
                day=self.day(row.window_from),
                item=row.text or word(row.category),
            )
        elif row.in_store:
            used = say(" {amount} of it is in store, used up as it is taken out.", amount=said(row.in_store, money))
        elif row.in_store is not None and not row.taken_back:
            used = say(" Put in store, and all of it taken out since.")
        what = strung((part for part in (row.supplier or word(row.category), row.text) if part), ": ")
        more = []
        if row.share != FULL_SHARE:
            part = amount_text(row.basis, money), said(row.gross, money)
            more.append(
                say(
                    "The business part counts, {share}: {part} of {gross}.",
                    share=share_text(row.share),
                    part=part[0],
                    gross=part[1],
                )
            )
        if row.taken_back_by is not None:
            more.append(say("Taken back by cost {cost}.", cost=row.taken_back_by))
        if row.refunded:
            back, gross = amount_text(row.refunded, money), said(row.gross, money)
            more.append(say("{back} of {gross} came back.", back=back, gross=gross))
        if 0 < row.paid < row.gross and not row.taken_back:
            owed = said(row.gross - row.paid, money)
            more.append(say("{owed} is still to be paid.", owed=owed))
        return strung((part for part in (strung((what, ".", used), ""), *more, row.note) if part), " ")

    def sum_up(self) -> str:
        rows = [row for row in self._costs.values() if not row.taken_back]
        unpaid = sum(row.gross - row.paid for row in rows)
        held = self.rows.said(
            counted(self.rows.held, "{n} cost", "{n} costs"), say("{rows} and more costs", rows=self.rows.held)
        )
        money = self.desk.ledger.currency
        return (
            say("{held} · {unpaid} {code} unpaid", held=held, unpaid=amount_text(unpaid, money), code=money.code)
            if unpaid
            else say("{held} in {code}", held=held, code=money.code)
        )

    def _here(self) -> CostRow | None:
        return self._costs.get(self.chosen or "")

    async def action_spend(self) -> None:
        """Spend."""
        await self.desk.open_form(SpendForm())

    async def action_new_cost(self) -> None:
        """Spend, by the key that is new everywhere."""
        await self.action_spend()

    async def action_again(self) -> None:
        """The same again."""
        row = self._here()
        if row is None:
            await self.desk.open_form(SpendForm())
            return
        whom = strung(row.whom, " ") if row.scope in ("species", "lots") else EVERYTHING
        await self.desk.open_form(SpendForm(row.category, row.text, whom, row.supplier))

    async def action_open_cost(self) -> None:
        """Where it went."""
        await self.action_explain()

    async def action_correct(self) -> None:
        """As it should have been."""
        row = self._here()
        if row is None:
            return
        if row.taken_back:
            self.desk.say(Answer(say("Cost {cost} was taken back; there is nothing to correct.", cost=row.id)))
        elif row.kind == "animals":
            self.desk.say(
                Answer(say("This is the price of animals bought; take their arrival back instead.")),
            )
        else:
            await self.desk.open_form(CorrectCostForm(row))

    async def action_pay(self) -> None:
        """Pay."""
        row = self._here()
        if row is None:
            return
        if row.taken_back or row.paid >= row.gross:
            self.desk.say(Answer(say("Cost {cost} has nothing left to pay.", cost=row.id)))
        else:
            await self.desk.open_form(PayCostForm(str(row.id), row.gross - row.paid))

    async def action_explain(self) -> None:
        """Where it went."""
        from tui.places.explain import WentPage

        row = self._here()
        if row is not None:
            await self.desk.open_form(WentPage(row.id))

    async def action_used_up(self) -> None:
        """Used up."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(UsedUpForm(str(row.id)))

    async def action_dispose(self) -> None:
        """Disposed of."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(DisposeForm(str(row.id)))

    async def action_take_back_cost(self) -> None:
        """Take back."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(TakeBackCostForm(str(row.id)))

    async def action_in_use(self) -> None:
        """What is open."""
        from tui.places.in_use import InUsePage

        await self.desk.open_form(InUsePage())

    async def action_store(self) -> None:
        """What is in store."""
        from tui.places.store import StorePage

        await self.desk.open_form(StorePage())

    async def action_equipment(self) -> None:
        """Lasting things."""
        from tui.places.equipment import EquipmentPage

        await self.desk.open_form(EquipmentPage())

    async def action_by_month(self) -> None:
        """Spending by month."""
        from tui.places.months import MonthsPage

        await self.desk.open_form(MonthsPage())

    async def action_power(self) -> None:
        """Power from watts."""
        from tui.forms.hours import PowerForm

        await self.desk.open_form(PowerForm())

    async def action_hours(self) -> None:
        """Own time."""
        from tui.places.hours import HoursPage

        await self.desk.open_form(HoursPage())

    async def action_refund(self) -> None:
        """Money came back."""
        row = self._here()
        if row is None:
            return
        if row.taken_back or row.refunded >= row.gross:
            self.desk.say(Answer(say("Cost {cost} has nothing left that could come back.", cost=row.id)))
        else:
            await self.desk.open_form(RefundForm(str(row.id), row.gross - row.refunded))

"""What is promised to whom and until when, who waits for it next, and what becomes of deposits."""

from __future__ import annotations

from collections import defaultdict
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.records.series import HOLDS
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.forms.promising import ReleaseForm
from tui.forms.queue import JoinForm, LeaveForm, OfferForm
from tui.forms.selling import SaleForm
from tui.papers import Paper
from tui.places.listing import ListPage
from tui.places.numbers import wide_enough
from tui.places.page import BACK
from tui.places.writing import write_into_folder
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.selling.holds import Hold
    from ledger.selling.queue import QueueRow
    from tui.widgets.form import Form


class HoldsPage(ListPage):
    """What is promised."""

    WHERE = "holds"
    FOLLOWS = "number"
    HELP = say(
        "Open holds first, soonest deadline first. A hold lapses by itself; its deposit then waits for your decision."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("take_up", "s,enter", say("sell"), say("The buyer takes the animals: sell what was promised.")),
        Act("release", "X", say("release, deposit"), say("Free the animals again, or decide on a deposit.")),
        Act("queue", "q", say("queue"), say("Add another buyer, offer the animals to the next, or take a buyer off.")),
        Act("papers", "w", say("papers"), say("Write the paper of the hold for the buyer, as PDF and text.")),
        BACK,
    )
    COLUMNS = (
        Column(say("number"), 7),
        Column(say("buyer")),
        Column(say("what"), 12, above=ROOMY),
        Column(say("until"), 17, above=ROOMY),
        Column(say("deposit"), 9, right=True, above=ROOMY),
        Column(say("queue"), 5, right=True, above=90),
        Column(say("state"), 10),
    )
    EMPTY = (
        say("Nothing is promised."),
        say("Hold animals from 2 Ready (h), or write: space, then hold E03 5 for Tarn until fri"),
    )

    def columns(self) -> tuple[Column, ...]:
        return wide_enough(self.COLUMNS, self.desk.ledger, HOLDS)

    def __init__(self) -> None:
        super().__init__()
        self._holds: dict[str, Hold] = {}
        self._queues: dict[str, list[QueueRow]] = {}

    def title_words(self) -> str:
        return say("Holds")

    def all_rows(self) -> list[Row]:
        money = self.desk.ledger.currency
        found = sorted(self.desk.ledger.holds(), key=lambda hold: not hold.open)
        self._holds = {hold.number: hold for hold in found}
        self._queues = defaultdict(list)
        for one in self.desk.ledger.queue():
            self._queues[one.hold].append(one)
        made = []
        for hold in found:
            what = strung((strung((str(line.count), word(line.stage), line.lot)) for line in hold.lines), ", ")
            state = (say("= open"), "") if hold.open else (word(hold.state), "$quiet")
            if hold.deposit_state == "undecided":
                state = (say("! deposit?"), "$warning")
            deposit = amount_text(hold.deposit, money) if hold.deposit else ""
            until = self.said(hold.until)
            waiting = sum(one.position > 0 for one in self._queues[hold.number])
            queue = str(waiting) if waiting else ""
            made.append(Row(hold.number, ((hold.number, "bold"), hold.customer, what, until, deposit, queue, state)))
        return made

    def detail(self, key: str) -> str:
        hold = self._holds[key]
        what = strung((strung((str(line.count), word(line.stage), line.lot)) for line in hold.lines), ", ")
        ended = (
            say(", {state} {ended_on}", state=word(hold.state), ended_on=self.day(hold.ended_on))
            if hold.ended_on
            else ""
        )
        deposit = say("; deposit {deposit_state}", deposit_state=word(hold.deposit_state)) if hold.deposit else ""
        said = say(
            "{number}: {what} for {customer}, made {made_on}{ended}{deposit}.",
            number=hold.number,
            what=what,
            customer=hold.customer,
            made_on=self.day(hold.made_on),
            ended=ended,
            deposit=deposit,
        )
        queue = [
            say(
                "{position} {customer} ({count}, asked {asked_on}{state})",
                position=one.position or "–",
                customer=one.customer,
                count=one.count,
                asked_on=self.day(one.asked_on),
                state=strung(
                    (
                        "" if one.position else strung((", ", word(one.state)), ""),
                        f" {one.new_hold}" if one.new_hold else "",
                    ),
                    "",
                ),
            )
            for one in self._queues[key]
        ]
        waiting = say("Queue: {queue}.", queue=strung(queue, ", ")) if queue else say("Nobody else waits.")
        return strung([said, waiting, *([note] if (note := hold.note.rstrip()) else [])])

    def sum_up(self) -> str:
        number = sum(hold.open for hold in self._holds.values())
        return counted(number, "{n} open hold", "{n} open holds")

    async def action_take_up(self) -> None:
        """Sell what was promised."""
        hold = self._holds.get(self.chosen or "")
        if hold is None:
            return
        if hold.open:
            await self.desk.open_form(SaleForm(hold=hold.number, buyer=hold.customer))
        else:
            self.desk.say(
                Answer(
                    say(
                        "{hold} is {state}; its animals are sold from 2 Ready.",
                        hold=hold.number,
                        state=word(hold.state),
                    )
                )
            )

    async def action_release(self) -> None:
        """Release it, or decide on its deposit."""
        hold = self._holds.get(self.chosen or "")
        if hold is None:
            return
        if hold.open:
            await self.desk.open_form(ReleaseForm(hold.number, deposit=hold.deposit))
        elif hold.deposit_state == "undecided":
            await self.desk.open_form(ReleaseForm(hold.number, over=True, deposit=hold.deposit))
        else:
            self.desk.say(
                Answer(say("{hold} is {state}; there is nothing to decide.", hold=hold.number, state=word(hold.state)))
            )

    async def action_queue(self) -> None:
        """Who waits for it."""
        hold = self._holds.get(self.chosen or "")
        if hold is None:
            return
        waiting = [one for one in self._queues[hold.number] if one.position]
        choices: list[Choice[Form]] = []
        if hold.open:
            choices.append(Choice(say("Another buyer waits"), JoinForm(hold.number), say("a place in the queue")))
        elif waiting and waiting[0].turn:
            first = waiting[0].customer
            choices.append(
                Choice(say("Hold them for {first}", first=first), OfferForm(hold.number), say("next in the queue"))
            )
        choices += [
            Choice(
                say("{customer} waits no longer", customer=one.customer),
                LeaveForm(one.place, one.customer),
                say("place {position}", position=one.position),
            )
            for one in waiting
        ]
        if not choices:
            self.desk.say(
                Answer(say("{hold} is {state} and nobody waits for it.", hold=hold.number, state=word(hold.state)))
            )
            return
        await self.app.push_screen(
            Chooser(say("The queue of {number}", number=hold.number), choices), self._open_chosen
        )

    async def action_papers(self) -> None:
        """The paper for the buyer."""
        from exports.documents.handed_papers import hold

        number = self.chosen
        if number is not None:
            await write_into_folder(self.desk, number, [Paper("Hold", "", partial(hold, self.desk.ledger, number))])

    async def _open_chosen(self, form: Form | None) -> None:
        if form is not None:
            await self.desk.open_form(form)

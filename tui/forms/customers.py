"""Forms of customers: a new one, what is known of one, and erasing one at their request."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ledger.errors import BadInput
from ledger.selling.commands import AddCustomer, ChangeCustomer, EraseCustomer
from ledger.selling.customers import KINDS
from ledger.text import clean_block
from ledger.wording import say
from tui.drafts import JOTTED
from tui.widgets.fields import FieldSpec, nothing_beside, text
from tui.widgets.form import Form

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.widget import Widget

    from ledger.selling.customers import CustomerRow

LINES = " / "
"""Between the lines of an address, which has one line to be typed in."""


def _contact(typed: str) -> str:
    return "\n".join(part.strip() for part in clean_block(typed, limit=500, field="contact").split(LINES.strip()))


def _note(typed: str) -> str:
    return clean_block(typed, limit=2000, field="note")


class CustomerForm(Form):
    """A new customer, or what is known of one.

    Args:
        known: who is changed; `None`: a new one.
    """

    WHERE = "customer-data"
    HELP = say(
        "Only what a sale needs: how to reach them, and which prices they pay. The contact stands below "
        "the name on papers; put a / between its lines. The name stays as sales have it."
    )

    def __init__(self, known: CustomerRow | None = None) -> None:
        super().__init__(known.name if known else "")
        self._known = known

    def heading(self) -> str:
        return say("What is known of {name}", name=self._known.name) if self._known else say("A new customer")

    def specs(self) -> Sequence[FieldSpec]:
        one = self._known
        name = FieldSpec("name", say("name"), text("name", needed=True), "", nothing_beside)
        contact = LINES.join(one.contact.split("\n")) if one else ""
        note = " ".join(one.note.split("\n")) if one else ""
        return (
            *(() if one else (name,)),
            FieldSpec("contact", say("contact"), _contact, contact, nothing_beside, hint=say("4 Mill Lane / Fenlow")),
            FieldSpec("kind", say("prices"), str, one.kind if one else KINDS[0], choices=KINDS),
            FieldSpec("note", say("remark"), _note, note, nothing_beside, hint=say("for you, on no paper")),
        )

    def command(self, values: Mapping[str, Any]) -> AddCustomer | ChangeCustomer:
        if self._known is None:
            return AddCustomer(values["name"], values["contact"], values["kind"], values["note"])
        # A remark of several lines stays as it is unless it was touched.
        touched = values["note"] != " ".join(self._known.note.split("\n"))
        return ChangeCustomer(self._known.name, values["contact"], values["kind"], values["note"] if touched else None)


class EraseForm(Form):
    """A person is erased at their request; their name is typed in full first, as this cannot be taken back."""

    WHERE = "erase"
    HELP = say(
        "Name, contact and remarks go for good; sales and their origins stay, without a name. Rules on "
        "invoices, registers or permits may ask you to keep who bought: check first. Nothing happens "
        "until the name is typed."
    )

    def heading(self) -> str:
        return say("Erase {subject} for good", subject=self.subject)

    def body(self) -> Iterable[Widget]:
        # A name left in the field from another day would be half the deed.
        self.desk.drafts.drop(self.draft_name)
        return super().body()

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("name", say("type the name"), str, "", nothing_beside, hint=say("in full, to erase")),)

    def command(self, values: Mapping[str, Any]) -> EraseCustomer:
        return EraseCustomer(self.subject, self.desk.ledger.today)

    def action_put_away(self) -> None:
        """Leave; nothing is kept of what was typed."""
        self.desk.drafts.drop(self.draft_name)
        super().action_put_away()

    def _record(self) -> None:
        if self.values()["name"].strip() != self.subject:
            sentence = say(
                "Nothing was erased: type {subject} here, exactly as it stands, and press Enter.", subject=self.subject
            )
            self._refused(BadInput(sentence, "name"))
            return
        super()._record()
        if self._recorded:
            self.desk.drafts.forget(self.subject)
            self.desk.jotted = self.desk.drafts.get(JOTTED)

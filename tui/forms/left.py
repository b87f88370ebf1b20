"""What is left of the animals a form is about, beside its number and live as that is typed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import ClassVar

from ledger.selling.left import left_after
from ledger.selling.parts import Part
from ledger.wording import counted, say
from tui.widgets.form import Form


class SaysWhatIsLeft(Form):
    """A form with a field that says how many animals are promised or sold."""

    COUNTED: ClassVar[str] = "count"
    """The field beside which it stands."""
    _still_there = ""

    def what_is_left(self, parts: Sequence[Part], on: dt.date, *, soft: bool = False) -> str:
        """How many of those that a plan chose would still be there for others, in words."""
        left = self.number_left(parts, on, soft=soft)
        return counted(left, "then {n} is left", "then {n} are left") if left else say("then none is left")

    def number_left(self, parts: Sequence[Part], on: dt.date, *, soft: bool = False) -> int:
        """How many those are."""
        ledger = self.desk.ledger
        return ledger.ask(left_after, tuple(parts), on, ledger.scene.now, soft=soft)

    def left_beside(self, _: object) -> str:
        """Beside the number that was read: what the last look found."""
        return self._still_there

    def _look(self) -> None:
        self._still_there = ""
        super()._look()
        for row in self.rows:
            if row.spec.key == self.COUNTED and not row.wrong:
                row.say(self._still_there)

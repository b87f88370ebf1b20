"""Whether everything that is kept for speed is what the journals make of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from ledger.wording import say
from tui.actions import Act
from tui.places.page import BACK, ReckonedPage, hanging

if TYPE_CHECKING:
    from ledger.books.prove import Finding


class ProvePage(ReckonedPage):
    """Everything that is kept for speed, rebuilt from the journals and compared."""

    WHERE = "prove"
    HELP = say(
        "What is kept for speed is rebuilt from the journals on a path of its own and compared, for the whole ledger."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (BACK,)

    def title_words(self) -> str:
        return say("Does the whole ledger add up?")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.prove

    def told(self, answer: object) -> None:
        findings: tuple[Finding, ...] = answer  # type: ignore[assignment]
        lines = [say("! {what}: {sentence}", what=one.what, sentence=one.sentence) for one in findings]
        doubts = [say("! safeguards: {doubt}", doubt=doubt) for doubt in self.desk.ledger.store.identity.doubts]
        self.show(hanging([*doubts, *lines] or [say("✓ Everything adds up.")], self.width))

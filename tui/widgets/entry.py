"""One line to type into, whose keys work in the order they were typed, however fast they come.

The library takes letters in the entry itself, but sends a key with a binding (backspace, enter) up to the application
first: typed ahead or over a lagging line, the letters behind such a key would overtake it. Uses a private part of the
library, which is pinned exactly.
"""

from __future__ import annotations

from textual.binding import NoBinding
from textual.events import Focus, Key
from textual.message import Message
from textual.reactive import reactive
from textual.suggester import Suggester
from textual.widgets import Input


class Entry(Input):
    """An input of one line that runs its own bindings itself.

    Args:
        classes: its classes besides those that the library would give it one by one, looking for all of its styles each
            time.
    """

    compact = reactive(True, toggle_class="-textual-compact")

    def __init__(
        self,
        value: str | None = None,
        placeholder: str = "",
        *,
        id: str,
        classes: str = "",
        select_on_focus: bool = True,
    ) -> None:
        super().__init__(
            value,
            placeholder,
            compact=True,
            id=id,
            classes=f"{classes} -textual-compact -valid",
            select_on_focus=select_on_focus,
        )

    async def _on_key(self, event: Key) -> None:
        if not event.is_printable:
            try:
                bound = self._bindings.get_bindings_for_key(event.key)
            except NoBinding:
                bound = []
            for binding in bound:
                if await self.app.run_action(binding.action, self):
                    event.stop()
                    event.prevent_default()
                    return
        await super()._on_key(event)


class HelpAsked(Message):
    """A question mark was typed where it begins a field."""


class HelpedEntry(Entry):
    """An entry that nothing begins with a question mark in, so that one asks for help."""

    async def _on_key(self, event: Key) -> None:
        if event.character == "?" and (not self.value or len(self.selected_text) == len(self.value)):
            event.stop()
            event.prevent_default()
            self.post_message(HelpAsked())
            return
        await super()._on_key(event)


class FormEntry(HelpedEntry):
    """An entry of a form.

    Args:
        value: what stands in it at first.
        completes: what completes it.
        id: its name in the form.
    """

    def __init__(self, value: str, completes: Suggester | None, id: str) -> None:
        super().__init__(value, id=id, classes="field-entry")
        # Not before it stands there: what completes it is asked for by the field that has the keys, not by all at once.
        self.suggester = completes

    def on_focus(self, event: Focus) -> None:
        """Offer what completes what stands there."""
        if self.suggester is not None and self.value and not self._suggestion:
            self.run_worker(self.suggester._get_suggestion(self, self.value))

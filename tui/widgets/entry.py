"""One line to type into, whose keys work in the order they were typed, however fast they come.

The library takes letters in the entry itself, but sends a key with a binding (backspace, enter) up to the application
first: typed ahead or over a lagging line, the letters behind such a key would overtake it. Uses a private part of the
library, which is pinned exactly.
"""

from __future__ import annotations

from textual.binding import NoBinding
from textual.events import Key
from textual.message import Message
from textual.widgets import Input


class Entry(Input):
    """An input that runs its own bindings itself."""

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


class FormEntry(Entry):
    """An entry of a form: no field begins with a question mark, so that one asks for help."""

    async def _on_key(self, event: Key) -> None:
        if event.character == "?" and (not self.value or len(self.selected_text) == len(self.value)):
            event.stop()
            event.prevent_default()
            self.post_message(HelpAsked())
            return
        await super()._on_key(event)

"""Typing at a screen under test as a person does: letters one by one, and waiting for what a key opens."""

from __future__ import annotations

from textual.app import App
from textual.events import Key
from textual.pilot import Pilot

NAMES = {" ": "space", "/": "slash", ",": "comma", ".": "full_stop", "-": "minus", "€": "euro_sign", "&": "ampersand"}


async def type_in(pilot: Pilot[None], text: str) -> None:
    """Type text, letter by letter."""
    await pilot.press(*(NAMES.get(letter, letter) for letter in text))


async def rest(pilot: Pilot[None], seconds: float = 0.35) -> None:
    """Wait as long as a person who reads what will be recorded."""
    await pilot.pause(seconds)
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def burst(app: App[None], *keys: str) -> None:
    """Hand keys to the application without waiting in between, as they come over a lagging line."""
    characters = {"space": " ", "enter": "\r", "tab": "\t"}
    for key in keys:
        app.post_message(Key(NAMES.get(key, key), characters.get(key, key if len(key) == 1 else None)))

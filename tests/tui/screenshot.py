"""A screen as plain text, line by line, and its comparison with a stored one.

Uses a private part of the screen library, which is pinned exactly; nothing else in the tests does.
Set REARLEDGER_WRITE_SCREENS=1 to write the stored screens anew, then read the difference before keeping it.
"""

from __future__ import annotations

import os
from pathlib import Path

from textual.app import App

STORED = Path(__file__).parent / "screens"


def lines(app: App[object]) -> list[str]:
    """The lines of the screen as it stands, without spaces at their ends."""
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip).rstrip() for strip in strips]


def picture(app: App[object]) -> str:
    """The whole screen as one text."""
    return "\n".join(lines(app)) + "\n"


def same_as_stored(app: App[object], name: str) -> None:
    """Compare the screen with tests/tui/screens/<name>.txt."""
    path = STORED / f"{name}.txt"
    seen = picture(app)
    if os.environ.get("REARLEDGER_WRITE_SCREENS"):
        path.parent.mkdir(exist_ok=True)
        path.write_text(seen, encoding="utf-8")
    assert path.exists(), f"there is no stored screen {name}; see the top of this file"
    assert seen == path.read_text(encoding="utf-8")

"""Makes the pictures of the real screen that README and the tour show.

Run it from the project's folder, with the project installed: `python demo/pictures/take.py`, or with the names of
single pictures behind it. It builds the demo in a scratch folder, presses the keys
below and writes what the screen shows.
"""

from __future__ import annotations

import asyncio
import shutil
import sys
import tempfile
from pathlib import Path

from demo.build import build_demo
from ledger.ledger import Ledger
from tui.app import Desk
from tui.drafts import Drafts
from tui.places import PLACES

FOLDER = Path("demo") / "pictures"
SIZE = (100, 30)

ROUND = ("8", "d", "d", "f", "down", "m", "f", "down", "f", "down", "c", "1", "2", "down")
SHOTS: dict[str, tuple[str, ...]] = {
    "due": ("1",),
    "jot": ("space", *"P14 3 L3 died"),
    "round": ROUND,
    "ready": ("2",),
    "sale": ("2", "s"),
    "lot": ("3", "f", *"P14", "enter", "enter"),
    "origin": ("3", "f", *"P14", "enter", "enter", "<"),
    "over-time": ("3", "b"),
    "rearing": ("6",),
    "curve": ("6", "enter"),
    "explain": ("6", "f", *"P14", "enter", "e"),
    "outlook": ("6", "O"),
    "year": ("7",),
    "checks": ("7", "K"),
    "settings": ("9",),
}
"""File name -> keys pressed from the first screen."""


async def picture(target: Path, name: str, keys: tuple[str, ...]) -> None:
    """One picture of the screen; each key waits until what the one before asked for is shown."""
    with Ledger.open(str(target)) as ledger, tempfile.TemporaryDirectory() as scrap:
        desk = Desk(ledger, PLACES, ledger.vocabulary, drafts=Drafts(), reports=Path(scrap))
        async with desk.run_test(size=SIZE) as pilot:
            for key in keys:
                await pilot.press("space" if key == " " else key)
                await desk.workers.wait_for_complete()
                await pilot.pause()
            (FOLDER / f"{name}.svg").write_text(desk.export_screenshot(title="Rearledger"), "utf-8")


def main(names: list[str]) -> None:
    """Build the demo once, and take each picture from a copy of its own."""
    if unknown := [name for name in names if name not in SHOTS]:
        raise SystemExit(f"No picture is called {unknown[0]}; there are: {', '.join(SHOTS)}.")
    with tempfile.TemporaryDirectory() as folder:
        played = Path(folder) / "demo.rearledger"
        build_demo(str(played))
        for name in names or SHOTS:
            target = Path(folder) / f"{name}.rearledger"
            shutil.copy(played, target)
            asyncio.run(picture(target, name, SHOTS[name]))


if __name__ == "__main__":
    main(sys.argv[1:])

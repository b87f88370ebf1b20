"""Makes the pictures of the real screen that README shows: `python -m tui.pictures` from the project's folder."""

from __future__ import annotations

import asyncio
import tempfile
from pathlib import Path

from demo.build import build_demo
from ledger.ledger import Ledger
from tui.app import Desk
from tui.drafts import Drafts
from tui.places import PLACES

FOLDER = Path("demo") / "pictures"
SHOTS = {
    "ready": ("2",),
    "rearing": ("6",),
    "round": ("8", "d", "d", "f", "down", "m", "f", "down", "f", "down", "c", "1", "2", "down"),
}
"""File name -> keys pressed from the first screen."""


async def picture(target: Path, name: str, keys: tuple[str, ...]) -> None:
    """One picture of the screen at 100x30."""
    with Ledger.open(str(target)) as ledger, tempfile.TemporaryDirectory() as scrap:
        desk = Desk(ledger, PLACES, ledger.vocabulary, drafts=Drafts(), reports=Path(scrap))
        async with desk.run_test(size=(100, 30)) as pilot:
            await pilot.press(keys[0])
            await desk.workers.wait_for_complete()
            await pilot.pause()
            await pilot.press(*keys[1:])
            await desk.workers.wait_for_complete()
            await pilot.pause()
            FOLDER.mkdir(exist_ok=True)
            (FOLDER / f"{name}.svg").write_text(desk.export_screenshot(title="Rearledger"), "utf-8")


def main() -> None:
    """Build the demo in a scratch folder and take every picture."""
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "demo.rearledger"
        build_demo(str(target))
        for name, keys in SHOTS.items():
            asyncio.run(picture(target, name, keys))


if __name__ == "__main__":
    main()

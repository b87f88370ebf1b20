"""The tour and README show pictures that exist, and each is one the script takes anew."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
PICTURES = PROJECT / "demo" / "pictures"


def shown(page: Path) -> set[Path]:
    """The pictures a page links to."""
    return {(page.parent / link).resolve() for link in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", page.read_text("utf-8"))}


def lost(pages: list[Path]) -> set[Path]:
    """Pictures that are linked and not there, or there and linked from nowhere."""
    linked = set[Path]().union(*map(shown, pages))
    return linked ^ set(PICTURES.resolve().glob("*.svg"))


def test_every_picture_is_there_and_every_one_is_shown() -> None:
    assert lost([PROJECT / "README.md", PROJECT / "demo" / "TOUR.md"]) == set()


def test_a_picture_nobody_took_is_noticed(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("![A place](no-such.svg)\n", "utf-8")
    assert tmp_path.resolve() / "no-such.svg" in lost([page])


def test_the_script_takes_every_picture() -> None:
    shots = runpy.run_path(str(PICTURES / "take.py"))["SHOTS"]
    assert set(shots) == {picture.stem for picture in PICTURES.glob("*.svg")}


def test_the_script_refuses_a_picture_it_does_not_know() -> None:
    with pytest.raises(SystemExit, match="No picture is called moon"):
        runpy.run_path(str(PICTURES / "take.py"))["main"](["moon"])

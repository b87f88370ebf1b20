"""The invented loft in a file of its own for each test, and a ledger with nothing in it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

from ledger.ledger import Ledger
from ledger.records.store import Store, open_store
from tests.tui.business import NOW


@pytest.fixture(autouse=True, scope="session")
def _styles_read_once() -> Iterator[None]:
    """Each test has an application of its own; the same styles are read once for all of them."""
    read = Stylesheet._parse_rules
    known: dict[object, list[RuleSet]] = {}

    def read_once(self: Stylesheet, *args: object, **more: object) -> list[RuleSet]:
        key = (tuple(sorted(self._variables.items())), args, tuple(sorted(more.items())))
        if key not in known:
            known[key] = read(self, *args, **more)  # type: ignore[arg-type]
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", read_once)
        yield


@pytest.fixture
def loft(filled_loft: Path, tmp_path: Path) -> Iterator[Ledger]:
    """The ledger of the invented loft, a copy of the test's own."""
    path = tmp_path / "loft.ledger"
    shutil.copyfile(filled_loft, path)
    with Ledger(open_store(str(path)), clock=lambda: NOW, by="keeper") as ledger:
        yield ledger


@pytest.fixture
def bare(sqlite_store: Store) -> Ledger:
    """A ledger with nothing in it."""
    return Ledger(sqlite_store, clock=lambda: NOW, by="keeper")

"""The demo ledger, built once for all tests of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.build import build_demo
from ledger.ledger import Ledger


@pytest.fixture(scope="session")
def demo_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Path of a demo ledger; only to be read."""
    path = tmp_path_factory.mktemp("demo") / "demo.rearledger"
    build_demo(str(path))
    return path


@pytest.fixture(scope="session")
def loft(demo_path: Path) -> Iterator[Ledger]:
    """The demo ledger, opened for reading."""
    with Ledger.open(str(demo_path), read_only=True) as ledger:
        yield ledger

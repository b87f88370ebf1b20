"""The demo ledger, built once for all tests of it."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.build import build_demo
from ledger.ledger import Ledger


@pytest.fixture(scope="session")
def demo_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Path of a demo ledger; only to be read."""
    base = tmp_path_factory.getbasetemp()
    folder = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    path = folder / "demo.rearledger"
    # One of the processes that run the tests builds it for all.
    with (folder / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not path.exists():
            built = folder / "demo-being-built.rearledger"
            build_demo(str(built))
            built.rename(path)
    return path


@pytest.fixture(scope="session")
def loft(demo_path: Path) -> Iterator[Ledger]:
    """The demo ledger, opened for reading."""
    with Ledger.open(str(demo_path), read_only=True) as ledger:
        yield ledger

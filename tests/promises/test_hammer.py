"""Promises 1, 3, 4 and 5 under many processes at once: never more animals out than in, each act counts once whatever is
retried, animals are conserved, numbers have no gaps or doubles.

Every run of the ledger's own way must leave nothing to find; each wrong way (the controls) must be found out. Short by
default; `REARLEDGER_LONG=1` gives a minute to each run.
"""

from __future__ import annotations

import dataclasses
import json
import os
import subprocess
import sys
import time
from pathlib import Path

from ledger.records.store import Store
from tests.postgres import Server
from tests.promises.checker import Verdict, check
from tests.promises.hammer import Run
from tests.promises.methods import stock_up

ROOT = Path(__file__).parents[2]
LONG = os.environ.get("REARLEDGER_LONG") == "1"
PLENTY = 100_000


def _begin(run: Run) -> subprocess.Popen[str]:
    words = [sys.executable, "-m", "tests.promises.hammer", json.dumps(dataclasses.asdict(run))]
    return subprocess.Popen(words, cwd=ROOT, stderr=subprocess.PIPE, text=True)


def _end(hammer: subprocess.Popen[str]) -> None:
    _, complaints = hammer.communicate(timeout=600)
    assert hammer.returncode == 0, complaints


def _hammered(store: Store, folder: Path, *, each: int, **how: object) -> Verdict:
    stock_up(store, each)
    run = dataclasses.replace(Run(store.target, str(folder)), **how)  # type: ignore[arg-type]
    _end(_begin(run))
    return check(store, folder)


def test_promises_hold_while_the_stock_lasts(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=PLENTY, seconds=60 if LONG else 4)

    assert found.faults() == []
    assert found.done > 100
    assert found.refused["OnPurpose"] > 0


def test_promises_hold_when_everything_is_sold_out(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=30, seconds=20 if LONG else 2, lost=0.3)

    assert found.faults() == []
    assert found.refused["NotEnough"] > 0


def test_control_looking_before_selling_oversells(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=10, seconds=2, method="naive", lost=0.0)

    assert found.oversold != []


def test_control_asking_for_animals_before_the_operation_denies_what_was_recorded(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=10, seconds=2, method="guard first", lost=0.5)

    assert any("although it is recorded" in fault for fault in found.miscounted)


def test_control_numbers_from_a_transaction_of_their_own_have_gaps(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=PLENTY, seconds=2, method="number apart", lost=0.0, undone=0.2)

    assert found.misnumbered != []


def test_promises_hold_when_workers_are_killed(store: Store, tmp_path: Path) -> None:
    how = {"workers": 8, "seconds": 60.0, "kills": 200} if LONG else {"workers": 8, "seconds": 4.0, "kills": 20}

    found = _hammered(store, tmp_path, each=PLENTY, **how)

    assert found.faults() == []
    assert found.done > 100


def test_promises_hold_when_the_server_crashes(pg_server: Server, pg_store: Store, tmp_path: Path) -> None:
    assert pg_server.folder is not None, "a server of our own is needed to crash it; run without REARLEDGER_TEST_PG"
    crashes, seconds = (20, 60.0) if LONG else (3, 6.0)
    stock_up(pg_store, PLENTY)

    hammer = _begin(Run(pg_store.target, str(tmp_path), workers=8, seconds=seconds))
    for _ in range(crashes):
        time.sleep(seconds / (crashes + 1))
        pg_server.stop("immediate")
        pg_server.start()
    _end(hammer)
    found = check(pg_store, tmp_path)

    assert found.faults() == []
    assert found.refused["Unreachable"] > 0
    assert found.done > 100

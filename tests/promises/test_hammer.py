"""Promises 1, 3, 4 and 5 under many processes at once: never more animals out than in, each act counts once whatever is
retried, animals are conserved, numbers have no gaps or doubles.

Every run of the ledger's own way must leave nothing to find; each wrong way (the controls) must be found out. Short by
default; with `REARLEDGER_LONG=1` twenty times as long.
"""

from __future__ import annotations

import dataclasses
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ledger.records.store import Store
from tests.postgres import Server
from tests.promises.checker import Verdict, check
from tests.promises.hammer import METHODS, Run

ROOT = Path(__file__).parents[2]
LONGER = 20 if os.environ.get("REARLEDGER_LONG") == "1" else 1
PLENTY = 100_000
OWN = "guarded"
"""The ledger's own way with the least around it, which is quick; "services" is the whole of it."""


@contextmanager
def _hammering(run: Run) -> Iterator[subprocess.Popen[str]]:
    """The hammer at work; at the end of the block it has ended, and no worker has broken."""
    words = [sys.executable, "-m", "tests.promises.hammer", json.dumps(dataclasses.asdict(run))]
    hammer = subprocess.Popen(words, cwd=ROOT, stderr=subprocess.PIPE, text=True)
    try:
        yield hammer
        _, complaints = hammer.communicate(timeout=900)
    except BaseException:
        hammer.kill()
        hammer.communicate()
        raise
    assert hammer.returncode == 0, complaints


def _hammered(store: Store, folder: Path, *, each: int, method: str = OWN, **how: Any) -> Verdict:
    METHODS[method].stock_up(store, each)
    with _hammering(Run(store.target, str(folder), method, **how)):
        pass
    return check(store, folder)


def _answers(folder: Path) -> int:
    return sum(path.read_text(encoding="utf-8").count('"what": "done"') for path in folder.glob("worker-*.log"))


def test_promises_hold_while_the_stock_lasts(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=PLENTY, deeds=25 * LONGER)

    assert found.faults() == []
    assert found.done > 16 * 20 * LONGER
    assert found.refused["OnPurpose"] > 0


def test_promises_hold_through_the_front_door(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=1000, method="services", workers=8, deeds=8 * LONGER, kills=2, lost=0.1)

    assert found.faults() == []
    assert found.refused["Busy"] == 0, "writers kept each other waiting: rows locked in more than one order?"
    assert found.done > 8 * 5 * LONGER


def test_promises_hold_when_the_front_door_sells_the_last_animals(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=5 * LONGER, method="services", workers=8, deeds=6 * LONGER, lost=0.1)

    assert found.faults() == []
    assert found.refused["NotEnough"] > 0


def test_promises_hold_when_everything_is_sold_out(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=20 * LONGER, deeds=20 * LONGER, lost=0.3)

    assert found.faults() == []
    assert found.refused["NotEnough"] > 0


def test_control_looking_before_selling_oversells(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=10, deeds=8, method="naive", lost=0.0)

    assert found.oversold != []


def test_control_asking_for_animals_before_the_operation_denies_what_was_recorded(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=8, deeds=10, method="guard first", lost=0.7)

    assert any("although it is recorded" in fault for fault in found.miscounted)


def test_control_numbers_from_a_transaction_of_their_own_have_gaps(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=PLENTY, workers=4, deeds=20, method="number apart", lost=0.0, undone=0.2)

    assert found.misnumbered != []


def test_promises_hold_when_workers_are_killed(store: Store, tmp_path: Path) -> None:
    found = _hammered(store, tmp_path, each=PLENTY, workers=8, deeds=60 * LONGER, kills=10 * LONGER)

    assert found.faults() == []
    assert found.done > 8 * 40 * LONGER
    assert found.sent_again > 0, "nobody was killed in the middle of something"


def test_promises_hold_when_the_server_crashes(pg_server: Server, pg_store: Store, tmp_path: Path) -> None:
    assert pg_server.folder is not None, "a server of our own is needed to crash it; run without REARLEDGER_TEST_PG"
    METHODS[OWN].stock_up(pg_store, PLENTY)

    with _hammering(Run(pg_store.target, str(tmp_path), OWN, workers=8, deeds=80 * LONGER)) as hammer:
        for crash in range(1, 2 * LONGER + 1):
            while _answers(tmp_path) < 150 * crash and hammer.poll() is None:
                time.sleep(0.05)
            assert hammer.poll() is None, "the workers were done before the server could crash"
            pg_server.stop("immediate")
            pg_server.start()
    found = check(pg_store, tmp_path)

    assert found.faults() == []
    assert found.refused["Unreachable"] > 0
    assert found.done > 200

"""Ledgers of every released version, kept as SQL: `python -m tests.promises.released` writes the present one.

Only until the first release is version 1 written anew. After it a file is never changed; a new version gets a new one.
"""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from ledger.records.identity import APPLICATION_ID, SCHEMA
from ledger.records.store import create
from tests.ledger.records.filled import fill

FOLDER = Path(__file__).with_name("released")
MADE_AT = "2025-06-02T10:00:00+00:00"


def kept() -> dict[int, Path]:
    """The files by version."""
    return {int(path.stem): path for path in FOLDER.glob("*.sql")}


def load(path: Path, ledger: Path) -> None:
    """Make the ledger that a file holds."""
    with closing(sqlite3.connect(ledger)) as raw:
        raw.executescript(path.read_text(encoding="utf-8"))


def written() -> str:
    """A ledger of the present version with a row in every table, as SQL."""
    with tempfile.TemporaryDirectory() as name:
        store = create(str(Path(name) / "loft.rearledger"), currency="EUR", made_at=MADE_AT)
        with store.writing() as conn:
            fill(conn)
        store.close()
        with closing(sqlite3.connect(store.target)) as raw:
            marks = [f"PRAGMA application_id={APPLICATION_ID};", f"PRAGMA user_version={SCHEMA};"]
            return "\n".join([*marks, *raw.iterdump()]) + "\n"


def write() -> None:
    """Keep a ledger of the present version."""
    path = FOLDER / f"{SCHEMA}.sql"
    FOLDER.mkdir(exist_ok=True)
    path.write_text(written(), encoding="utf-8")
    print(f"wrote {path}")


if __name__ == "__main__":
    write()

"""Bringing the tables of a ledger to the version this program writes, with Alembic.

Each step is written by hand and never changed once released. The triggers are no part of any step: they are put up
from one list afterwards (`triggers.install`), because rebuilding a table on SQLite drops them without a word.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection

STEPS = Path(__file__).parent / "versions"


def upgrade(conn: Connection, steps: Path = STEPS) -> None:
    """Run every step that is missing, inside the caller's transaction.

    Args:
        conn: the transaction.
        steps: the folder they are in.
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", "ledger.records:migrations")
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", str(steps).replace("%", "%%"))
    config.attributes["connection"] = conn
    command.upgrade(config, "head")


def statements(step: str, dialect: str) -> tuple[str, ...]:
    """The SQL of a step for one kind of database: kept beside it, one statement per blank-line-separated block."""
    text = (STEPS / f"{step}_{dialect}.sql").read_text(encoding="utf-8")
    return tuple(block for block in text.strip().split("\n\n") if block)

"""An invented second step of the migrations, and a program that takes it and may be killed on the way.

`python -m tests.promises.later_step LEDGER STEPS` brings a ledger to version 2.
"""

from __future__ import annotations

import datetime as dt
import shutil
import sys
from pathlib import Path

from ledger.records import identity
from ledger.records.migrations import STEPS
from ledger.records.upgrading import bring_up

NOW = dt.datetime(2025, 6, 2, 10, 0, tzinfo=dt.UTC)

SECOND = '''
"""A second step: every act gets a column, by rebuilding its table on SQLite; every species one too."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    conn = op.get_bind()
    conn.exec_driver_sql("ALTER TABLE species ADD COLUMN shade TEXT NOT NULL DEFAULT ''")
    if conn.dialect.name == "postgresql":
        conn.exec_driver_sql("ALTER TABLE operation ADD COLUMN place TEXT NOT NULL DEFAULT ''")
        return
    made = conn.exec_driver_sql("SELECT sql FROM sqlite_master WHERE name = 'operation'").scalar_one()
    head, _, rest = made.partition("(")
    conn.exec_driver_sql("CREATE TABLE operation_new (place TEXT NOT NULL DEFAULT '', " + rest)
    names = ", ".join(row[1] for row in conn.exec_driver_sql("PRAGMA table_info(operation)"))
    conn.exec_driver_sql(f"INSERT INTO operation_new ({names}) SELECT {names} FROM operation")
    conn.exec_driver_sql("DROP TABLE operation")
    conn.exec_driver_sql("ALTER TABLE operation_new RENAME TO operation")
'''


def steps(folder: Path) -> Path:
    """A folder with the first step and the second."""
    folder.mkdir()
    shutil.copy(STEPS / "0001_first.py", folder)
    (folder / "0002_second.py").write_text(SECOND, encoding="utf-8")
    return folder


def main() -> None:
    """Bring the ledger that is named to version 2."""
    # The program that has this step knows version 2.
    identity.SCHEMA = 2
    print("begun", flush=True)
    bring_up(sys.argv[1], NOW, schema=2, steps=Path(sys.argv[2]))
    print("done", flush=True)


if __name__ == "__main__":
    main()

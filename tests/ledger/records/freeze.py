"""Writes the SQL of the first step from the tables, and the ledger that is kept of its version:
`python -m tests.ledger.records.freeze`.

Only until the first release. After it a step never changes, and a change of tables is a new step.
"""

from __future__ import annotations

from sqlalchemy import Dialect
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.schema import CreateIndex, CreateTable

from ledger.records.migrations import STEPS
from ledger.records.tables import metadata
from tests.promises import released

DIALECTS: dict[str, Dialect] = {"sqlite": sqlite.dialect(), "postgresql": postgresql.dialect()}


def ddl(dialect: str) -> str:
    """Every table and index as SQL, statements separated by a blank line."""
    blocks = []
    for table in metadata.sorted_tables:
        blocks.append(str(CreateTable(table).compile(dialect=DIALECTS[dialect])))
        indexes = sorted(table.indexes, key=lambda index: str(index.name))
        blocks += [str(CreateIndex(index).compile(dialect=DIALECTS[dialect])) for index in indexes]
    return "\n\n".join("\n".join(line.rstrip() for line in b.strip().splitlines()) for b in blocks) + "\n"


def stale() -> list[str]:
    """Kinds of database whose first step no longer says what the tables say."""
    paths = {dialect: STEPS / f"0001_{dialect}.sql" for dialect in DIALECTS}
    return [d for d, path in paths.items() if not path.exists() or path.read_text(encoding="utf-8") != ddl(d)]


if __name__ == "__main__":
    for name in DIALECTS:
        (STEPS / f"0001_{name}.sql").write_text(ddl(name), encoding="utf-8")
        print(f"wrote {STEPS / f'0001_{name}.sql'}")
    released.write()

"""What the database itself refuses, whatever program or person asks: changing a journal, reopening a year, going back.

One list for each kind of database, put up after every change of tables and compared with what is there whenever a
ledger is opened, since rebuilding a table drops its triggers silently. On PostgreSQL they fire ALWAYS, because
`session_replication_role` switches ordinary triggers off; the lock that keeps a closing and a late row apart is taken
inside the trigger, so no code can forget it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, Table, UniqueConstraint

from ledger.records.faults import CLOSED_YEAR, NEVER_CHANGED
from ledger.records.tables import ACCOUNTED, ERASABLE, JOURNAL, STEPPED, metadata

HOLDING = "holding"
"""A cache whose counts change while the place they count stays the same for ever."""


@dataclass(frozen=True, slots=True)
class Trigger:
    """One trigger: what to run to make it, and how it looks once made."""

    name: str
    table: str
    make: tuple[str, ...]
    looks: str


def parts() -> Mapping[str, tuple[str, str]]:
    """Tables whose rows belong to a row of an accounted table and share its year: {table: (column, parent)}.

    They are those without an operation of their own: they are written with their parent or not at all.
    """
    found = {}
    for table in metadata.sorted_tables:
        if "operation_id" not in table.c and table.name in JOURNAL:
            for key in sorted(table.foreign_keys, key=lambda key: key.parent.name):
                if key.column.table.name in ACCOUNTED:
                    found[table.name] = (key.parent.name, key.column.table.name)
    return found


def expected(dialect: str) -> dict[str, Trigger]:
    """Every trigger of a ledger, by name."""
    make = _sqlite if dialect == "sqlite" else _postgresql
    return {trigger.name: trigger for trigger in make()}


def install(conn: Connection) -> None:
    """Put up every trigger, in place of whatever triggers there are."""
    dialect = conn.dialect.name
    remove(conn)
    if dialect == "postgresql":
        for function in functions().values():
            conn.exec_driver_sql(function)
    for trigger in expected(dialect).values():
        for statement in trigger.make:
            conn.exec_driver_sql(statement)


def remove(conn: Connection) -> None:
    """Take down every trigger: only for a step of a migration that must change rows, inside its transaction."""
    if conn.dialect.name == "sqlite":
        for name in _present_sqlite(conn):
            conn.exec_driver_sql(f'DROP TRIGGER IF EXISTS "{name}"')
        return
    rows = conn.exec_driver_sql(
        "SELECT t.tgname, t.tgrelid::regclass::text FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
        "WHERE NOT t.tgisinternal AND c.relnamespace = current_schema()::regnamespace"
    ).all()
    for name, table in rows:
        conn.exec_driver_sql(f'DROP TRIGGER "{name}" ON {table}')


def doubts(conn: Connection) -> tuple[str, ...]:
    """What is missing, altered or too many among the triggers, one phrase each; nothing when all is well."""
    dialect = conn.dialect.name
    present = _present_sqlite(conn) if dialect == "sqlite" else _present_postgresql(conn)
    wanted = {name: trigger.looks for name, trigger in expected(dialect).items()}
    if dialect == "postgresql":
        wanted |= functions()
    return (
        *(f"{name} is missing" for name in sorted(wanted.keys() - present.keys())),
        *(f"{name} is altered" for name in sorted(wanted.keys() & present.keys()) if wanted[name] != present[name]),
        *(f"{name} does not belong here" for name in sorted(present.keys() - wanted.keys())),
    )


# --- SQLite ---------------------------------------------------------------------------------------------------------


def _sqlite() -> Iterator[Trigger]:
    for name in sorted(JOURNAL):
        yield _refuse(name, "unchanged", "UPDATE", f"NOT ({_emptied(name, 'IS')})" if name in ERASABLE else "")
    for name in sorted(JOURNAL | STEPPED | {HOLDING}):
        yield _refuse(name, "undeleted", "DELETE")
        yield _refuse(name, "unreplaced", "INSERT", _exists(metadata.tables[name]))
    yield _refuse("period", "laid_out_once", "INSERT", "EXISTS (SELECT 1 FROM operation)")
    yield _refuse("counter", "begins_at_nought", "INSERT", "NEW.last <> 0")
    for name, condition in _ONE_WAY.items():
        yield _refuse(name, "one_way", "UPDATE", f"NOT ({_kept(name)} AND {condition})")
    for name in ACCOUNTED:
        yield _refuse(name, "in_open_year", "INSERT", f"({_CLOSED.format(day='NEW.accounting_on')}) IS NOT 0")
    for name, (column, parent) in sorted(parts().items()):
        day = f"(SELECT accounting_on FROM {parent} WHERE id = NEW.{column})"
        yield _refuse(name, "in_open_year", "INSERT", f"({_CLOSED.format(day=day)}) IS NOT 0")


_CLOSED = "SELECT closed FROM period WHERE first_day <= {day} ORDER BY first_day DESC LIMIT 1"

_ONE_WAY = {
    "period": "OLD.closed = 0 AND NEW.closed = 1",
    "counter": "NEW.last = OLD.last + 1",
    "holding": "1 = 1",
    "ledger_info": "NEW.schema_version > OLD.schema_version AND NEW.least_reader >= OLD.least_reader",
}
"""What an update of these tables must be, besides keeping every other column."""
_MAY_CHANGE = {
    "period": {"closed"},
    "counter": {"last"},
    "holding": {"count", "earmarked"},
    "ledger_info": {"schema_version", "least_reader"},
}


def _kept(name: str) -> str:
    columns = [column.name for column in metadata.tables[name].columns if column.name not in _MAY_CHANGE[name]]
    return " AND ".join(f"NEW.{column} = OLD.{column}" for column in columns)


def _emptied(name: str, same: str) -> str:
    """Whether an update makes the text that may name a buyer empty, and changes nothing else.

    Args:
        name: the table.
        same: how this kind of database compares what may be null.
    """
    rest = [column.name for column in metadata.tables[name].columns if column.name != ERASABLE[name]]
    return " AND ".join([f"NEW.{ERASABLE[name]} = ''", *(f"NEW.{one} {same} OLD.{one}" for one in rest)])


def _exists(table: Table) -> str:
    """Whether a row with the same key is there: REPLACE would delete it, without the delete trigger's knowledge
    where a program has not switched recursive triggers on."""
    keys = [list(table.primary_key.columns)]
    keys += [list(c.columns) for c in table.constraints if isinstance(c, UniqueConstraint)]
    keys += [list(index.columns) for index in table.indexes if index.unique]
    tests = [" AND ".join(f"{column.name} = NEW.{column.name}" for column in key) for key in keys]
    return " OR ".join(f"EXISTS (SELECT 1 FROM {table.name} WHERE {test})" for test in sorted(tests))


def _refuse(table: str, name: str, event: str, when: str = "") -> Trigger:
    code = f"{CLOSED_YEAR}: {table} in a closed year" if name == "in_open_year" else f"{NEVER_CHANGED}: {table} {name}"
    condition = f"WHEN {when} " if when else ""
    sql = (
        f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH ROW {condition}"
        f"BEGIN SELECT RAISE(ABORT, '{code}'); END"
    )
    return Trigger(f"{table}_{name}", table, (sql,), sql)


def _present_sqlite(conn: Connection) -> dict[str, str]:
    rows = conn.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type IN ('trigger', 'view')")
    return {str(row.name): str(row.sql) for row in rows}


# --- PostgreSQL -----------------------------------------------------------------------------------------------------

_ROW, _BEFORE, _INSERT, _DELETE, _UPDATE, _TRUNCATE = 1, 2, 4, 8, 16, 32
"""Bits of pg_trigger.tgtype."""


def _postgresql() -> Iterator[Trigger]:
    for name in sorted(JOURNAL):
        function = f"rl_only_emptied_{name}" if name in ERASABLE else "rl_never"
        yield _call(name, "unchanged", _ROW | _UPDATE | _DELETE, function)
    for name in sorted(STEPPED | {HOLDING}):
        yield _call(name, "undeleted", _ROW | _DELETE, "rl_never")
    for name in sorted(JOURNAL | STEPPED | {HOLDING}):
        yield _call(name, "untruncated", _TRUNCATE, "rl_never")
    yield _call("period", "laid_out_once", _ROW | _INSERT, "rl_laid_out_once")
    yield _call("counter", "begins_at_nought", _ROW | _INSERT, "rl_begins_at_nought")
    for name in _ONE_WAY:
        yield _call(name, "one_way", _ROW | _UPDATE, f"rl_one_way_{name}")
    for name in ACCOUNTED:
        yield _call(name, "in_open_year", _ROW | _INSERT, "rl_open_year")
    for name in sorted(parts()):
        yield _call(name, "in_open_year", _ROW | _INSERT, f"rl_open_year_{name}")


def functions() -> dict[str, str]:
    """The functions behind the triggers of PostgreSQL: the statement that makes each, by name."""
    never = _raise(NEVER_CHANGED, "TG_TABLE_NAME || ' is never changed this way'")
    bodies = {"rl_never": never}
    bodies["rl_laid_out_once"] = f"IF EXISTS (SELECT 1 FROM operation) THEN {never} END IF; RETURN NEW;"
    bodies["rl_begins_at_nought"] = f"IF NEW.last <> 0 THEN {never} END IF; RETURN NEW;"
    for name, condition in _ONE_WAY.items():
        test = f"{_kept(name)} AND {condition}"
        bodies[f"rl_one_way_{name}"] = f"IF NOT ({test}) THEN {never} END IF; RETURN NEW;"
    for name in ERASABLE:
        emptied = f"TG_OP = 'UPDATE' AND {_emptied(name, 'IS NOT DISTINCT FROM')}"
        bodies[f"rl_only_emptied_{name}"] = f"IF {emptied} THEN RETURN NEW; END IF; {never}"
    bodies["rl_open_year"] = _shut("NEW.accounting_on")
    for name, (column, parent) in parts().items():
        bodies[f"rl_open_year_{name}"] = _shut(f"(SELECT accounting_on FROM {parent} WHERE id = NEW.{column})")
    return {name: _function(name, _block(body)) for name, body in bodies.items()}


def _block(body: str) -> str:
    declared = "DECLARE shut bigint; " if "shut" in body else ""
    return f" {declared}BEGIN {body} END "


def _shut(day: str) -> str:
    closed = _raise(CLOSED_YEAR, "TG_TABLE_NAME || ' in a closed year'")
    return (
        f"SELECT closed INTO shut FROM period WHERE {day} BETWEEN first_day AND last_day FOR SHARE; "
        f"IF shut IS DISTINCT FROM 0 THEN {closed} END IF; RETURN NEW;"
    )


def _raise(code: str, message: str) -> str:
    return f"RAISE EXCEPTION USING ERRCODE = '{code}', MESSAGE = {message};"


def _call(table: str, name: str, when: int, function: str) -> Trigger:
    events = [word for bit, word in _EVENTS.items() if when & bit]
    scope = "ROW" if when & _ROW else "STATEMENT"
    full = f"{table}_{name}"
    return Trigger(
        full,
        table,
        (
            f"CREATE TRIGGER {full} BEFORE {' OR '.join(events)} ON {table} FOR EACH {scope} "
            f"EXECUTE FUNCTION {function}()",
            f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {full}",
        ),
        _looks(table, when | _BEFORE, "A", function),
    )


_EVENTS = {_INSERT: "INSERT", _UPDATE: "UPDATE", _DELETE: "DELETE", _TRUNCATE: "TRUNCATE"}


def _looks(table: str, kind: int, enabled: str, function: str) -> str:
    return f"{table} type {kind} enabled {enabled} calls {function}"


def _present_postgresql(conn: Connection) -> dict[str, str]:
    present = {
        name: _looks(table, kind, enabled, function) + (" with a condition" if conditional else "")
        for name, table, kind, enabled, function, conditional in conn.exec_driver_sql(
            "SELECT t.tgname, c.relname, t.tgtype, t.tgenabled::text, p.proname, "
            "t.tgqual IS NOT NULL OR t.tgnargs > 0 OR cardinality(t.tgattr::int[]) > 0 "
            "FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid "
            "WHERE NOT t.tgisinternal AND c.relnamespace = current_schema()::regnamespace"
        )
    }
    ours = functions()
    for name, body in conn.exec_driver_sql(
        "SELECT p.proname, p.prosrc FROM pg_proc p JOIN pg_language l ON l.oid = p.prolang "
        "WHERE p.pronamespace = current_schema()::regnamespace AND p.prorettype = 'trigger'::regtype "
        "AND l.lanname = 'plpgsql' AND NOT p.prosecdef AND p.proconfig IS NULL"
    ):
        if name in ours:
            present[name] = _function(name, body)
    return present


def _function(name: str, body: str) -> str:
    return f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $rl${body}$rl$"

"""The role on a PostgreSQL server that a ledger is used with from day to day: it may do what the program does, no more.

The owner makes the tables and brings them up to date; the role below may read everything, add rows to the journals,
and change only what the triggers let change. It owns nothing, so it can neither drop a table nor switch a trigger off.
"""

from __future__ import annotations

import re

from sqlalchemy import Connection, text

from ledger.errors import BadInput, Refused
from ledger.records.store import Store
from ledger.records.tables import CACHE, ERASABLE, JOURNAL, MUTABLE, metadata
from ledger.text import quoted

_ROLE = re.compile(r"[a-z_][a-z0-9_]{0,62}")
_CHANGES = {
    "setting": "INSERT, UPDATE",
    "customer": "INSERT, UPDATE",
    "holding": "INSERT, UPDATE (count, earmarked)",
    "layer": "INSERT, UPDATE, DELETE",
    "earmark_on": "INSERT, UPDATE, DELETE",
    "counter": "INSERT, UPDATE (last)",
    "period": "UPDATE (closed)",
}
"""What may be done to tables that are no journals, besides reading them."""
assert _CHANGES.keys() >= MUTABLE | CACHE
_LIMITS = {
    "statement_timeout": "60s",
    "lock_timeout": "5s",
    "idle_in_transaction_session_timeout": "60s",
    "synchronous_commit": "on",
}


def grants(role: str, database: str, schema: str) -> tuple[str, ...]:
    """The statements that let a role use the ledger of a database, and nothing else in it.

    Raises:
        BadInput: that is no name for a role.
    """
    if not _ROLE.fullmatch(role):
        raise BadInput(
            f"{quoted(role)} cannot be the name of a role; use small letters, digits and underscores.", "role"
        )
    name, base, space = f'"{role}"', f'"{database}"', f'"{schema}"'
    said = [
        f"REVOKE ALL ON DATABASE {base} FROM PUBLIC",
        f"REVOKE ALL ON SCHEMA {space} FROM PUBLIC",
        f"REVOKE ALL ON ALL TABLES IN SCHEMA {space} FROM {name}",
        f"GRANT CONNECT ON DATABASE {base} TO {name}",
        f"GRANT USAGE ON SCHEMA {space} TO {name}",
        f"GRANT SELECT ON ALL TABLES IN SCHEMA {space} TO {name}",
        f"GRANT USAGE ON ALL SEQUENCES IN SCHEMA {space} TO {name}",
    ]
    for table in metadata.sorted_tables:
        may = "INSERT" if table.name in JOURNAL else _CHANGES.get(table.name)
        if may:
            said.append(f"GRANT {may} ON {space}.{table.name} TO {name}")
        if table.name in ERASABLE:
            said.append(f"GRANT UPDATE ({ERASABLE[table.name]}) ON {space}.{table.name} TO {name}")
    said += [f"ALTER ROLE {name} SET {setting} = '{value}'" for setting, value in _LIMITS.items()]
    return tuple(said)


def let_in(store: Store, role: str) -> bool:
    """Let a role use the ledger; makes it, without a password, where there is none.

    Args:
        store: the ledger, opened by the role that owns it.
        role: its name.

    Returns:
        Whether the role was made.

    Raises:
        BadInput: the ledger is in a file, or the name is none.
        Refused: the role can do more than that already.
        ReadOnly: whoever asks may not give such rights.
    """
    if store.dialect != "postgresql":
        raise BadInput("A ledger in a file has no roles; move it to a server first, with rearledger move-to.", "ledger")
    with store.writing() as conn:
        database, schema = conn.execute(text("SELECT current_database(), current_schema()")).one()
        statements = grants(role, database, schema)
        made = not conn.execute(text("SELECT 1 FROM pg_roles WHERE rolname = :role"), {"role": role}).first()
        if made:
            conn.exec_driver_sql(f'CREATE ROLE "{role}" LOGIN')
        _check(conn, role, schema)
        for statement in statements:
            conn.exec_driver_sql(statement)
    return made


def _check(conn: Connection, role: str, schema: str) -> None:
    """Refuse a role that no grant could bind."""
    found = conn.execute(
        text(
            "SELECT rolsuper OR rolcreaterole OR rolcreatedb OR rolreplication OR rolbypassrls AS mighty, "
            "EXISTS (SELECT 1 FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace "
            "WHERE n.nspname = :schema AND c.relowner = r.oid) AS owner, "
            "EXISTS (SELECT 1 FROM pg_auth_members m WHERE m.member = r.oid) AS member "
            "FROM pg_roles r WHERE rolname = :role"
        ),
        {"role": role, "schema": schema},
    ).one()
    if found.mighty or found.owner or found.member:
        why = "owns the ledger" if found.owner else "belongs to another role" if found.member else "may do far more"
        raise Refused(
            f"The role {role} {why}, so it cannot be held to the ledger's rules; choose another name.", "role"
        )

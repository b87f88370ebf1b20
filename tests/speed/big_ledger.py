"""A ledger of a million movements, 100,000 sales and 100,000 costs, loaded in bulk for the benchmarks of the screen."""

from __future__ import annotations

import datetime as dt
import sqlite3
from contextlib import closing
from pathlib import Path

from ledger.ledger import Ledger
from ledger.stock.commands import DescribeSpecies, StageSpec
from tests.speed.bench_ready import TODAY, load

CATEGORIES = ("feed", "substrate", "heat", "light", "water")
BUYERS = 400
LASTING = 1000
"""One of so many costs is a lasting thing."""


def noon() -> dt.datetime:
    """The moment it is in that ledger."""
    return dt.datetime.combine(TODAY, dt.time(12))


def make(path: Path, lots: int = 5000, each: int = 200, papers: int = 100_000) -> None:
    """Make it: lots with so many movements each, and so many sales and as many costs."""
    stages = (StageSpec("larva"), StageSpec("adult", saleable=True, hardening_days=2))
    with Ledger.create(str(path), currency="EUR", name="Bench", clock=noon) as ledger:
        ledger.do(DescribeSpecies("BUG", "Species inventa", "bug", "beetle", stages, "adult"))
    load(path, lots, each)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA synchronous=OFF")
        sell(raw, papers)
        spend(raw, papers)
        raw.commit()


def insert(raw: sqlite3.Connection, table: str, rows: list[dict[str, object]]) -> None:
    """Rows into a table, columns by name."""
    names = list(rows[0])
    statement = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join(':' + name for name in names)})"
    raw.executemany(statement, rows)


def sell(raw: sqlite3.Connection, papers: int) -> None:
    """Make sales, paid at once, of as many of the animals that left."""
    operation = raw.execute("SELECT max(id) FROM operation").fetchone()[0]
    insert(raw, "customer", [
        {"id": n + 1, "name": f"Buyer {n}", "contact": "", "kind": "retail", "note": ""} for n in range(BUYERS)
    ])  # fmt: skip
    left = raw.execute(
        "SELECT m.id, m.from_holding_id, m.count, e.happened_on, l.code FROM movement m "
        "JOIN entry e ON e.id = m.entry_id JOIN holding h ON h.id = m.from_holding_id JOIN lot l ON l.id = h.lot_id "
        "WHERE m.reason = 'given away' ORDER BY e.happened_on, m.id LIMIT ?",
        (papers,),
    ).fetchall()
    # A journal refuses to be changed; its guards are put back as they were.
    triggers = raw.execute(
        "SELECT name, sql FROM sqlite_master WHERE type='trigger' AND tbl_name='movement'"
    ).fetchall()
    for name, _ in triggers:
        raw.execute(f'DROP TRIGGER "{name}"')
    raw.executemany("UPDATE movement SET reason = 'sold' WHERE id = ?", [(row[0],) for row in left])
    for _, statement in triggers:
        raw.execute(statement)
    sales, lines, moves, paid = [], [], [], []
    for n, (movement, holding, count, on, code) in enumerate(left, start=1):
        buyer = n % BUYERS
        sales.append({
            "id": n, "number": f"S-{on[:4]}-{n:04}", "sold_on": on, "accounting_on": on, "channel": "collection",
            "customer_id": buyer + 1, "customer_name": f"Buyer {buyer}", "to_post": 0, "note": "", "own_note": "",
            "operation_id": operation,
        })  # fmt: skip
        lines.append({
            "id": n, "sale_id": n, "position": 1, "holding_id": holding, "count": count, "extra": 0, "pack": "",
            "together": 0, "price": 900, "discount": 0, "net": 900, "lot_code": code, "species_text": "bug",
            "stage_text": "adult", "sex_text": "", "origin_code": "UNK", "origin_or_later": 0, "origin_evidence": 0,
            "origin_lowered": 0, "origin_text": "not known", "provenance_text": "",
        })  # fmt: skip
        moves.append({"id": n, "sale_line_id": n, "movement_id": movement})
        paid.append({
            "id": n, "sale_id": n, "paid_on": on, "accounting_on": on, "amount": 900, "method": "cash", "note": "",
            "operation_id": operation,
        })  # fmt: skip
    for table, rows in (("sale", sales), ("sale_line", lines), ("sale_movement", moves), ("payment", paid)):
        insert(raw, table, rows)
    insert(raw, "counter", [{"series": "S", "year": TODAY.year, "last": 0}])
    raw.executemany("UPDATE counter SET last = last + 1 WHERE series = ?", [("S",)] * len(left))


def spend(raw: sqlite3.Connection, papers: int) -> None:
    """So many costs, each paid and used up within some days; one of a thousand is a lasting thing."""
    operation = raw.execute("SELECT max(id) FROM operation").fetchone()[0]
    first, last = raw.execute("SELECT min(started_from), max(started_on) FROM lot").fetchone()
    begin, days = dt.date.fromisoformat(first), (TODAY - dt.date.fromisoformat(last)).days
    costs, paid = [], []
    for n in range(1, papers + 1):
        on = begin + dt.timedelta(days=n * days // (papers + 1))
        until = min(on + dt.timedelta(days=n % 14), TODAY)
        amount = 100 + n % 977
        lasts = n % LASTING == 0
        costs.append({
            "id": n, "bought_on": str(on), "accounting_on": str(on), "supplier": f"Shop {n % 40}",
            "category": CATEGORIES[n % len(CATEGORIES)], "text": f"bag {n}", "net": amount, "tax": 0, "gross": amount,
            "basis": amount, "share": 10000, "quantity": "", "unit": "", "scope": "all",
            "kind": "lasting" if lasts else "used up", "life_days": 1825 if lasts else None,
            "window_from": str(on), "window_to": None if lasts else str(until), "residual": 0, "original_currency": "",
            "original_amount": "", "rate": "", "note": "", "operation_id": operation,
        })  # fmt: skip
        paid.append({
            "id": n, "cost_id": n, "kind": "paid", "happened_on": str(on), "accounting_on": str(on), "amount": amount,
            "note": "", "operation_id": operation,
        })  # fmt: skip
    insert(raw, "cost", costs)
    insert(raw, "cost_change", paid)

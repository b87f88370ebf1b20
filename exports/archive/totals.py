"""Control totals of an archive: figures that no single row can be changed without, written beside the tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sqlalchemy import Table

from ledger.records.rows import Row

SUMMED = {
    "movement": ("count",),
    "holding": ("count", "earmarked"),
    "layer": ("count",),
    "cost": ("net", "tax", "gross", "basis"),
    "cost_change": ("amount",),
    "sale_line": ("count", "extra", "price", "discount", "net"),
    "sale_charge": ("amount",),
    "payment": ("amount",),
    "credit": ("amount",),
    "hold": ("deposit",),
    "closing_figure": ("value",),
}
"""Columns that are added up, by table; amounts in minor units."""

Totals = dict[str, dict[str, int]]


def counting(table: Table, rows: Iterable[Row], totals: Totals) -> Iterator[Row]:
    """The same rows; once they have run through, `totals` holds how many there were and what they come to."""
    places = {name: list(table.columns.keys()).index(name) for name in SUMMED.get(table.name, ())}
    sums = dict.fromkeys(places, 0)
    count = 0
    for row in rows:
        count += 1
        for name, place in places.items():
            value = row[place]
            if isinstance(value, int):
                sums[name] += value
        yield row
    totals[table.name] = {"rows": count, **sums}

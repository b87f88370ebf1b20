"""Deposits counted on receipt: the lines they make in the workbook come to the same when it is recalculated."""

from __future__ import annotations

from pathlib import Path

import openpyxl

from exports.workbook.about import Facts
from exports.workbook.write import content
from ledger.books.checks import checks_of
from ledger.books.lines import DEPOSITS_COUNTED, DEPOSITS_HELD_END, DEPOSITS_HELD_START
from ledger.books.year import year_books
from ledger.costs.commands import SetMethod
from ledger.records.store import Store
from ledger.selling.commands import Pick, PlaceHold, ReleaseHold
from tests.exports.office import need_office, recalculated
from tests.exports.test_workbook import _formulas
from tests.ledger.selling.shop import Shop, day, stocked


def test_deposits_counted_on_receipt_are_live_lines_that_recalculate(sqlite_store: Store, tmp_path: Path) -> None:
    need_office()
    shop = stocked(Shop(sqlite_store))
    shop.do(SetMethod("deposits", "on receipt", day("2025-01-01")))
    shop.today = day("2025-12-20")
    shop.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), shop.today, "2026-02-01", deposit=1000))
    shop.today = day("2026-01-20")
    shop.do(ReleaseHold("R-001", shop.today, "kept"))
    paths = []
    for year in (2025, 2026):
        books = shop.ask(year_books, year)
        found = checks_of(books)
        assert [check.name for check in found if not check.holds] == []
        facts = Facts("Loft", "2026-01-21T12:00", 1, "0", "0", "gross", "offspring")
        paths.append(tmp_path / f"{year}.xlsx")
        paths[-1].write_bytes(content(books, found, facts, shop.store.currency))

    after = recalculated(tmp_path, *paths)

    for before, again in zip(paths, after, strict=True):
        assert _formulas(before, again)[1] == []
    rows = list(openpyxl.load_workbook(after[0], data_only=True)["Income"].iter_rows(values_only=True))
    amounts = {row[1]: row[4] for row in rows if isinstance(row[1], int)}
    assert (amounts[DEPOSITS_HELD_END], amounts[DEPOSITS_COUNTED]) == (10, 10)
    rows = list(openpyxl.load_workbook(after[1], data_only=True)["Income"].iter_rows(values_only=True))
    assert {row[1]: row[4] for row in rows if isinstance(row[1], int)}[DEPOSITS_HELD_START] == -10

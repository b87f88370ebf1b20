"""The year-end workbook ties out: recalculated by another program, tampered with, validated, and read back."""

from __future__ import annotations

import datetime as dt
import io
import os
import re
import stat
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2 as pdfium
import pytest
import xlsxwriter
from openpyxl.utils import get_column_letter
from openxml_audit import OpenXmlValidator
from sqlalchemy import update

from exports.workbook import Written, write
from exports.workbook.about import Facts
from exports.workbook.sheet import Column, Overall, Styles, Table, add_table
from exports.workbook.write import content
from ledger.books.checks import checks_of
from ledger.books.year import year_books
from ledger.costs.commands import NoteHours, SetMethod, Spend
from ledger.errors import BadInput
from ledger.ledger import Ledger
from ledger.money import Currency
from ledger.records import tables as t
from ledger.records.store import create
from ledger.records.triggers import remove
from ledger.selling.commands import LineOf, Paid, Sell
from ledger.stock.commands import AddLot, AddSpecies, Arrival
from tests.exports.office import need_office, printed, recalculated, with_cells
from tests.exports.small_business import HOSTILE, Story

SHEETS = (
    "About", "Income", "Checks", "Sales", "Receipts", "Costs", "Movements", "Stock", "Counts", "Rearing", "Origins",
    "Equipment", "Owed", "Late", "Chart",
)  # fmt: skip


@pytest.fixture(scope="module")
def written(told: Story, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """The workbook of 2025."""
    return write(told.ledger, 2025, tmp_path_factory.mktemp("workbook"))


@dataclass(frozen=True)
class Difference:
    """A formula that LibreOffice comes to another value for."""

    where: str
    formula: str
    stored: Any
    recalculated: Any


def _formulas(before: Path, after: Path) -> tuple[int, list[Difference]]:
    """How many formulas there are, and those whose stored value is not what they come to."""
    formulas = openpyxl.load_workbook(before)
    stored = openpyxl.load_workbook(before, data_only=True)
    again = openpyxl.load_workbook(after, data_only=True)
    count, found = 0, []
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                count += 1
                a, b = stored[sheet.title][cell.coordinate].value, again[sheet.title][cell.coordinate].value
                near = isinstance(a, (int, float)) and isinstance(b, (int, float)) and abs(a - b) < 1e-9
                if a != b and not near:
                    found.append(Difference(f"{sheet.title}!{cell.coordinate}", str(cell.value), a, b))
    return count, found


def _look(path: Path) -> set[str]:
    """Names of the checks that do not add up in a workbook."""
    book = openpyxl.load_workbook(path, data_only=True, read_only=True)
    rows = list(book["Checks"].iter_rows(min_row=3, values_only=True))
    book.close()
    found = {str(row[1]) for row in rows[3:] if row[6] not in ("adds up", "note")}
    assert rows[0][1] == (f"{len(found)} to look at" if found else "adds up")
    return found


def test_the_control_without_the_setting_a_wrong_stored_value_survives(tmp_path: Path) -> None:
    need_office()
    path = tmp_path / "wrong.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        sheet.write(0, 0, 2)
        sheet.write(1, 0, 3)
        sheet.write_formula(2, 0, "=A1+A2", None, 999)

    trusted = openpyxl.load_workbook(recalculated(tmp_path, path, forced=False)[0], data_only=True).active["A3"].value
    forced = openpyxl.load_workbook(recalculated(tmp_path, path)[0], data_only=True).active["A3"].value

    assert (trusted, forced) == (999, 5)


@pytest.fixture(scope="module")
def pairs(told: Story, written: Written, tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Path, Path]]:
    """The workbook in euros, yen and dinars of Bahrain, each beside itself as LibreOffice recalculates it."""
    need_office()
    folder = tmp_path_factory.mktemp("recalculated")
    books = told.ledger.ask(year_books, 2025)
    found = checks_of(books)
    facts = Facts("Tallow Lane Beetles", "2026-01-06T12:00", 1, "0", "0", "gross", "offspring")
    paths = [written.path]
    for currency in (Currency("JPY", 0), Currency("BHD", 3)):
        paths.append(folder / f"{currency.code}.xlsx")
        paths[-1].write_bytes(content(books, found, facts, currency))
    return list(zip(paths, recalculated(folder, *paths), strict=True))


def test_every_formula_comes_to_its_stored_value_when_recalculated(pairs: list[tuple[Path, Path]]) -> None:
    for (before, again), pattern in zip(pairs, ("#,##0.00", "#,##0", "#,##0.000"), strict=True):
        count, different = _formulas(before, again)
        assert different == []
        assert count > 300
        assert openpyxl.load_workbook(before)["Sales"]["R6"].number_format == pattern


def _column(sheet: Any, name: str) -> str:
    header = next(sheet.iter_rows(min_row=5, max_row=5, values_only=True))
    return get_column_letter(header.index(name) + 1)


@pytest.fixture(scope="module")
def with_late(told: Story, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The workbook of 2025 after a bill of the closed year 2024 was entered late: every table has a row."""
    folder = tmp_path_factory.mktemp("late")
    copy = folder / "late.ledger"
    copy.write_bytes(Path(told.ledger.store.target).read_bytes())
    ledger = Ledger.open(str(copy), clock=told.clock)
    ledger.do(Spend(dt.date(2024, 12, 24), "feed", 555, text="late bill"))
    found = write(ledger, 2025, folder)
    ledger.close()
    return found.path


LONG = os.environ.get("REARLEDGER_LONG") == "1"

TAMPERED = [
    ("About", "What it says", "Animals at the start: stock and last closing"),
    ("Income", "No", "Sales: income lines and sheet"),
    ("Checks", "Second", "Sales: sheet and ledger"),
    ("Origins", "Origin no", "Sales by origin and sales of animals"),
    ("Counts", "Counted", "Counts of the year: sheet and ledger"),
    ("Late", "Accounted on", "Late facts: sheet and ledger"),
    ("Sales", "Animals", "Animals sold: sales and movements"),
    ("Sales", "Price", "Sales: sheet and ledger"),
    ("Sales", "Income line", "Sales: income lines and sheet"),
    ("Sales", "Origin no", "Sales by origin and sales of animals"),
    ("Sales", "Date", "Rows dated outside the year"),
    ("Receipts", "Cash", "Receipts: sheet and ledger"),
    ("Receipts", "Amount", "Owed by customers: start, sales and receipts; and the end"),
    ("Costs", "Cost", "Costs: sheet and ledger"),
    ("Costs", "Net paid price", "Costs of the year, gross: sheet and ledger"),
    ("Costs", "Tax", "Costs of the year, gross: sheet and ledger"),
    ("Costs", "Paid", "Costs paid: sheet and ledger"),
    ("Costs", "Refunded", "Cash result: sheet and ledger"),
    ("Costs", "Income line", "Costs less refunds: income lines and sheet"),
    ("Costs", "Not used up at end", "Accruals result: from changes and from what went out"),
    ("Movements", "Change", "Stock rows that differ from their movements"),
    ("Movements", "Cost", "Cost that went out: income lines and movements"),
    ("Stock", "At start", "Animals at the start: stock and last closing"),
    ("Stock", "Sold", "Animals sold: stock and movements"),
    ("Stock", "Died", "Animals at the end: stock and ledger"),
    ("Stock", "Moved in", "Moved in and moved out, added up"),
    ("Stock", "In cost sharing", "Animals at the end: stock and cost sharing"),
    ("Stock", "Cost at start", "Cost so far at the start: stock and last closing"),
    ("Stock", "Cost at end", "Accruals result: from changes and from what went out"),
    ("Rearing", "Reared", "Rearing rows with animals not accounted for"),
    ("Equipment", "Bought", "Equipment bought: equipment and costs"),
    ("Equipment", "Used up", "Equipment at the end: sheet and ledger"),
    ("Owed", "Settled", "Owed by customers: start, sales and receipts; and the end"),
]


def test_one_changed_cell_of_any_sheet_trips_the_check_that_names_it(with_late: Path, tmp_path: Path) -> None:
    need_office()
    values = openpyxl.load_workbook(with_late, data_only=True)
    # One cell of each sheet; in the long run every one of the list.
    changed = TAMPERED if LONG else list({sheet: (sheet, *rest) for sheet, *rest in TAMPERED}.values())
    assert {sheet for sheet, _, _ in changed} == {*SHEETS} - {"Chart"}
    files = []
    for number, (sheet, column, _) in enumerate(changed):
        letter = _column(values[sheet], column)
        row = _row_to_change(values[sheet], letter, sheet)
        old = values[sheet][f"{letter}{row}"].value
        new = 1.0 if isinstance(old, dt.datetime) else old + 777
        target = tmp_path / f"tampered-{number:02}.xlsx"
        files.append(with_cells(with_late, target, SHEETS.index(sheet) + 1, {f"{letter}{row}": new}))

    after = recalculated(tmp_path, with_late, *files)

    assert _look(after[0]) == set()
    for path, (sheet, column, expected) in zip(after[1:], changed, strict=True):
        assert expected in _look(path), f"{sheet}, {column}"


def _row_to_change(sheet: Any, letter: str, name: str) -> int:
    """The first row whose change must tell: of sales one of animals, of costs one of this year, of Owed a sale."""
    for row in range(6, sheet.max_row):
        value = sheet[f"{letter}{row}"].value
        if name == "Sales" and letter == "O" and sheet[f"C{row}"].value != "animals":
            continue
        if name == "Costs" and not sheet[f"L{row}"].value:
            continue
        if name == "About" and sheet[f"A{row}"].value != "Animals at the start":
            continue
        if name == "Owed" and sheet[f"A{row}"].value != "sale":
            continue
        if not isinstance(value, str) and value is not None:
            return row
    raise AssertionError(f"nothing to change in {name}!{letter}")


def test_a_validator_finds_nothing(written: Written) -> None:
    result = OpenXmlValidator().validate(written.path)

    assert list(result.errors) == []


def test_the_sheets_are_there_and_their_cover_leads_to_them(written: Written) -> None:
    book = openpyxl.load_workbook(written.path)

    assert tuple(book.sheetnames) == SHEETS
    links = {cell.value: cell.hyperlink.location for (cell,) in book["About"].iter_rows(max_col=1) if cell.hyperlink}
    assert links == {name: f"'{name}'!A1" for name in SHEETS if name not in ("About", "Chart")}


def test_every_sheet_has_one_table_with_unique_names_alt_text_and_nothing_below(written: Written) -> None:
    book = openpyxl.load_workbook(written.path)

    for name in SHEETS[:-1]:
        sheet = book[name]
        (table,) = sheet.tables.values()
        first, last = table.ref.split(":")
        assert table.name == name
        assert first == "A5"
        assert int(re.sub("[A-Z]", "", last)) == sheet.max_row
        headers = [column.name.casefold() for column in table.tableColumns]
        assert len(set(headers)) == len(headers)
        assert not sheet.merged_cells.ranges
        assert sheet.freeze_panes == "B6"
        assert sheet["A1"].value
        assert sheet["A2"].value
        assert sheet["B3"].value == ("=Checks!$B$3" if name != "Checks" else sheet["B3"].value)
    with zipfile.ZipFile(written.path) as archive:
        tables = [archive.read(name).decode() for name in archive.namelist() if name.startswith("xl/tables/")]
    assert len(tables) == len(SHEETS) - 1
    assert all("altTextSummary=" in part for part in tables)


def test_each_sheet_is_told_of_as_it_is_begun(told: Story, tmp_path: Path) -> None:
    seen: list[tuple[str, int, int]] = []

    write(told.ledger, 2025, tmp_path, progress=lambda *now: seen.append(now))

    names = [name for name in SHEETS if name not in ("About", "Chart")]
    assert seen == [(name, place, len(names)) for place, name in enumerate(names)]


def test_a_plain_workbook_holds_the_same_values_without_formulas_panes_and_filters(
    told: Story, written: Written, tmp_path: Path
) -> None:
    path = write(told.ledger, 2025, tmp_path, plain=True).path
    book, live = openpyxl.load_workbook(path), openpyxl.load_workbook(written.path, data_only=True)

    assert tuple(book.sheetnames) == SHEETS
    assert all(book[name].freeze_panes is None for name in SHEETS)
    assert all(table.autoFilter is None for name in SHEETS[:-1] for table in book[name].tables.values())
    assert [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"] == []
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                there = live[sheet.title][cell.coordinate].value
                if (sheet.title, cell.coordinate) not in {("About", "A2"), ("Checks", "D3")}:
                    same = cell.value == (pytest.approx(there) if isinstance(there, float) else there)
                    assert same, (sheet.title, cell.coordinate)
    assert list(OpenXmlValidator().validate(path).errors) == []


def test_every_bar_of_the_chart_has_a_name(written: Written) -> None:
    sheet = openpyxl.load_workbook(written.path, data_only=True)["Rearing"]
    names = [(row[0], row[1]) for row in sheet.iter_rows(min_row=6, values_only=True) if row[0] and row[0] != "Total"]

    assert all(lot for _, lot in names)
    assert {lot for species, lot in names if lot == f"all {species}"} == {f"all {species}" for species, _ in names}


@pytest.mark.parametrize(
    ("said", "lines"),
    [
        ("labels, gloves, paper, vials", 1),
        ("Mammoths swarm, wombats too.", 2),
        ("little, little, little, ill", 1),
        ("a" * 60, 3),
        ("three\nlines\nof text", 3),
        ("", 1),
    ],
)
def test_a_row_is_as_high_as_its_text_takes_by_the_width_of_its_letters(said: str, lines: int) -> None:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    styles = Styles(book, Currency("EUR", 2), plain=False)
    add_table(styles, Table("T", "T", "T.", (Column("Text", "wide", 24),), [[said]]), Overall("=1+0", "1"))
    book.close()

    # The height of one line is that of every row, and is not written.
    assert (openpyxl.load_workbook(out)["T"].row_dimensions[6].height or 15) == 15 * lines


def test_the_chart_says_in_words_what_it_shows(written: Written) -> None:
    with zipfile.ZipFile(written.path) as archive:
        drawing = archive.read("xl/drawings/drawing1.xml").decode()

    (said,) = re.findall(r'descr="([^"]+)"', drawing)

    assert said.startswith("Bars of survival by lot: ")
    assert re.search(r"B01 \d+%", said)


def test_equipment_stands_beside_its_declining_balance_as_the_register_has_it(told: Story, written: Written) -> None:
    sheet = openpyxl.load_workbook(written.path, data_only=True)["Equipment"]
    header = [cell.value for cell in sheet[5]]
    rows = [dict(zip(header, row, strict=True)) for row in sheet.iter_rows(min_row=6, values_only=True)]
    shown = {row["Cost no"]: row for row in rows if row["Cost no"]}

    register = told.ledger.equipment(dt.date(2025, 12, 31))

    assert {one.cost for one in register} == set(shown)
    for one in register:
        row = shown[one.cost]
        assert round(row["By declining balance"] * 100) == round(one.declining)
        assert round(row["At end"] * 100) == one.left
        assert (row["Gone on"] and row["Gone on"].date()) == one.disposed_on
    assert any(row["By declining balance"] not in (0, row["At end"]) for row in shown.values())


def test_own_hours_are_a_memo_beside_the_cost_and_change_no_other_cell(told: Story, tmp_path: Path) -> None:
    path = tmp_path / "hours.ledger"
    path.write_bytes(Path(told.ledger.store.target).read_bytes())
    ledger = Ledger.open(str(path), clock=told.clock)
    plain = openpyxl.load_workbook(write(ledger, 2025, tmp_path, plain=True).path)
    ledger.do(SetMethod("hour rate", "1200", dt.date(2025, 1, 1)))
    ledger.do(NoteHours(dt.date(2025, 8, 10), 90, "feeding", lot="B01"))

    noted = openpyxl.load_workbook(write(ledger, 2025, tmp_path, plain=True).path)
    ledger.close()

    changed = {
        (sheet.title, plain[sheet.title].cell(5, cell.column).value)
        for sheet in noted
        for row in sheet.iter_rows()
        for cell in row
        if cell.value != plain[sheet.title][cell.coordinate].value
    }
    memo = {("Rearing", "Own minutes each, a memo"), ("Rearing", "With own time, a memo"), ("Rearing", "Remarks")}
    assert changed == memo | {("About", "Remark")}


def test_a_year_that_begins_in_april_has_its_own_first_and_last_day(tmp_path: Path) -> None:
    clock = dt.datetime(2026, 4, 6, 12)
    path = str(tmp_path / "april.ledger")
    with Ledger.create(path, currency="GBP", name="Loft", year_start=(4, 6), clock=lambda: clock) as ledger:
        for day in (dt.date(2025, 4, 5), dt.date(2025, 4, 6), dt.date(2026, 4, 5), dt.date(2026, 4, 6)):
            ledger.do(Spend(day, "feed", 100, window_to=day))
        found = write(ledger, 2025, tmp_path)
        running = openpyxl.load_workbook(write(ledger, 2026, tmp_path).path)["About"]

    assert found.path.name == "loft-year-end-2026-04-05-gbp-r1.xlsx"
    assert not found.draft
    about = openpyxl.load_workbook(found.path)["About"]
    assert about["A1"].value == "Loft: 2025-26"
    # Of a year that is not over it stands there up to which day its costs are used up; of one that is, it need not.
    assert (about["B12"].value, running["B12"].value) == ("still open", "still open; reckoned to 5 April 2027")
    dates = [row[0] for row in openpyxl.load_workbook(found.path)["Costs"].iter_rows(min_row=6, values_only=True)]
    assert [day.date() for day in dates if isinstance(day, dt.datetime)] == [dt.date(2025, 4, 6), dt.date(2026, 4, 5)]


def test_a_year_that_has_not_begun_is_refused_and_nothing_is_written(told: Story, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"^2031 begins on 1 January 2031; there is nothing to write of it yet\.$"):
        write(told.ledger, 2031, tmp_path)

    assert list(tmp_path.iterdir()) == []


def test_only_plain_functions_are_used(written: Written) -> None:
    book = openpyxl.load_workbook(written.path)
    formulas = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]

    used = {name for formula in formulas for name in re.findall(r"([A-Z]+)\(", formula)}

    assert used <= {"SUM", "SUMIFS", "COUNTIF", "ROUND", "IF", "ROWS", "SUBTOTAL"}


def test_what_begins_like_a_formula_comes_back_as_the_same_text(pairs: list[tuple[Path, Path]]) -> None:
    for path in pairs[0]:
        cells = [cell for row in openpyxl.load_workbook(path)["Sales"].iter_rows() for cell in row]
        names = [cell for cell in cells if cell.value == HOSTILE]
        assert len(names) == 3
        assert {cell.data_type for cell in names} == {"s"}
        # Whoever edits the cell and presses Enter would make it a formula without the prefix.
        assert path != pairs[0][0] or all(cell.quotePrefix for cell in names)


HOSTILE_TEXTS = (
    "=1+1", "+1+1", "-1+1", "@SUM(1)", "{=1}", "\t=1", "'=1", '=HYPERLINK("http://localhost")', "#N/A", "TRUE",
    "007", "1E5", "http://localhost/", "mailto:a@localhost", "_x0041_", "café ☕ 甲虫", "a\nb", "<b>&amp;</b>", "",
)  # fmt: skip


def test_hostile_texts_survive_a_sheet_unchanged_and_recalculated(tmp_path: Path) -> None:
    need_office()
    path = tmp_path / "texts.xlsx"
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    styles = Styles(book, Currency("EUR", 2), plain=False)
    table = Table(
        "Texts",
        "Texts",
        "Texts.",
        (Column("Text", "text", 20), Column("No", "number", 5)),
        [[one, n] for n, one in enumerate(HOSTILE_TEXTS)],
    )
    add_table(styles, table, Overall("=1+0", "1"))
    book.close()
    path.write_bytes(out.getvalue())

    before = [row[0] for row in openpyxl.load_workbook(path)["Texts"].iter_rows(min_row=6, values_only=True)]
    after = [
        row[0]
        for row in openpyxl.load_workbook(recalculated(tmp_path, path)[0])["Texts"].iter_rows(
            min_row=6, values_only=True
        )
    ]

    # openpyxl reads the escape of a literal _x0041_ back as it stands in the file.
    expected = [one or None for one in HOSTILE_TEXTS]
    assert [str(one).replace("_x005F_", "_") if one else None for one in before] == expected
    assert [str(one).replace("_x005F_", "_") if one else None for one in after] == expected


def test_a_text_too_long_for_a_cell_is_an_error_and_not_cut() -> None:
    book = xlsxwriter.Workbook(io.BytesIO(), {"in_memory": True})
    table = Table("Texts", "Texts", "Texts.", (Column("Text", "text", 20),), [["x" * 32768]])

    with pytest.raises(ValueError, match="does not fit"):
        add_table(Styles(book, Currency("EUR", 2), plain=False), table, Overall("=1+0", "1"))


def test_a_second_export_is_the_same_to_the_byte_apart_from_its_revision(told: Story, tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()

    first = write(told.ledger, 2025, tmp_path / "one").path
    again = write(told.ledger, 2025, tmp_path / "two").path
    second = write(told.ledger, 2025, tmp_path / "one").path

    assert first.name == "tallow-lane-beetles-year-end-2025-12-31-eur-r1.xlsx"
    assert second.name == "tallow-lane-beetles-year-end-2025-12-31-eur-r2.xlsx"
    assert first.read_bytes() == again.read_bytes()
    with zipfile.ZipFile(first) as one, zipfile.ZipFile(second) as two:
        assert one.namelist() == two.namelist()
        differing = [name for name in one.namelist() if one.read(name) != two.read(name)]
        assert differing == ["xl/sharedStrings.xml"]
        assert one.read(differing[0]).replace(b"Revision 1", b"Revision 2") == two.read(differing[0])
    assert stat.S_IMODE(first.stat().st_mode) == 0o600


def test_a_year_that_does_not_add_up_is_marked_a_draft_on_every_sheet(told: Story, tmp_path: Path) -> None:
    path = tmp_path / "copy.ledger"
    path.write_bytes(Path(told.ledger.store.target).read_bytes())
    ledger = Ledger.open(str(path), clock=told.clock)
    with ledger.store.writing() as conn:
        remove(conn)
        conn.execute(
            update(t.closing_figure)
            .where(t.closing_figure.c.figure == "animals", t.closing_figure.c.detail == "B01/L2")
            .values(value=t.closing_figure.c.value + 1)
        )

    found = write(ledger, 2025, tmp_path)

    assert found.draft
    assert [check.key for check in found.checks if not check.holds] == ["opening"]
    book = openpyxl.load_workbook(found.path, data_only=True)
    assert all(str(book[name]["A1"].value).startswith("DRAFT") for name in SHEETS[:-1])
    assert book["Income"]["B3"].value == "1 to look at"
    ledger.close()


def test_an_empty_ledger_gives_a_workbook_that_adds_up(tmp_path: Path) -> None:
    need_office()
    store = create(str(tmp_path / "empty.ledger"), currency="EUR")
    found = write(Ledger(store, clock=lambda: dt.datetime(2025, 6, 1)), 2025, tmp_path)
    store.close()

    count, different = _formulas(found.path, recalculated(tmp_path, found.path)[0])

    assert different == []
    assert count > 100
    assert not found.draft
    assert list(OpenXmlValidator().validate(found.path).errors) == []


def test_printed_a_sheet_is_one_page_wide_and_no_figure_is_too_wide_for_its_cell(
    with_late: Path, tmp_path: Path
) -> None:
    need_office()
    book = openpyxl.load_workbook(with_late)

    with pdfium.PdfDocument(printed(tmp_path, with_late)) as pdf:
        pages = [page.get_textpage().get_text_range().split("\r\n") for page in pdf]

    assert not any("###" in line for page in pages for line in page)
    sheets = [page[0].split(" ")[0] for page in pages]
    assert list(dict.fromkeys(sheets)) == list(SHEETS)
    assert sheets.count("Chart") == 1
    for place, (name, page) in enumerate(zip(sheets, pages, strict=True)):
        if name not in sheets[:place]:
            assert page[1].strip() == book[name]["A1"].value
        else:
            # What a sheet goes on with repeats its headings from the left; one broken across would begin elsewhere.
            assert page[1].split(" ")[0] == str(book[name]["A5"].value).split(" ")[0]


def test_the_control_a_figure_too_wide_for_its_cell_is_printed_as_hashes(tmp_path: Path) -> None:
    need_office()
    path = tmp_path / "narrow.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        sheet.set_column(0, 0, 3)
        sheet.write_number(0, 0, 1234567.89, book.add_format({"num_format": "#,##0.00"}))

    with pdfium.PdfDocument(printed(tmp_path, path)) as pdf:
        assert "###" in pdf[0].get_textpage().get_text_range()


def test_a_long_year_adds_up_and_recalculates_to_what_is_stored(tmp_path: Path) -> None:
    need_office()
    rows = 5000 if LONG else 150
    now = dt.datetime(2026, 1, 2, 12)
    with Ledger.create(str(tmp_path / "long.ledger"), currency="JPY", name="Loft", clock=lambda: now) as ledger:
        ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
        ledger.do(AddLot("P01", "PACH", dt.date(2025, 1, 1), (Arrival("hatched", "L3", unsexed=3 * rows),)))
        ledger.do(Spend(dt.date(2025, 1, 1), "feed", 9999, window_to=dt.date(2025, 12, 31)))
        sales = [
            Sell(
                (LineOf("P01", 1 + number % 3, 450 + number % 7, stage="L3"),),
                dt.date(2025, 1, 1) + dt.timedelta(days=number * 364 // rows),
                f"=buyer {number % 50}",
                paid=(Paid(400),),
            )
            for number in range(rows)
        ]
        ledger.do_all([(one.customer, lambda _conn, one=one: one) for one in sales], content="a year")
        found = write(ledger, 2025, tmp_path)

    count, different = _formulas(found.path, recalculated(tmp_path, found.path)[0])

    assert not found.draft
    assert different == []
    assert count > 2 * rows
    assert openpyxl.load_workbook(found.path)["Sales"].max_row == 5 + rows + 1


def test_survival_limits_and_cost_moved_are_values_and_nothing_reared_is_said_in_words(written: Written) -> None:
    book = openpyxl.load_workbook(written.path)
    values = openpyxl.load_workbook(written.path, data_only=True)["Rearing"]
    header = {cell.value: cell.column - 1 for cell in book["Rearing"][5]}
    rows = {row[header["Lot"]].value: row for row in book["Rearing"].iter_rows(min_row=6) if row[header["Lot"]].value}
    plain = {row[header["Lot"]].value: row for row in values.iter_rows(min_row=6) if row[header["Lot"]].value}

    for name in ("Survival", "Lower limit", "Upper limit", "Cost moved"):
        assert all(row[header[name]].data_type != "f" for row in rows.values())
    assert plain["P01"][header["Survival"]].value == "none reared yet"
    assert 0 < plain["P01"][header["Upper limit"]].value < 1
    assert plain["P01"][header["Cost per reared adult"]].value == "none reared"
    assert plain["A01"][header["Cost per reared adult"]].value == "not known"
    assert plain["B01"][header["Cost per reared adult"]].value == 3.14


def test_the_checks_in_the_file_are_those_the_program_made(told: Story, written: Written) -> None:
    made = checks_of(told.ledger.ask(year_books, 2025))
    sheet = openpyxl.load_workbook(written.path, data_only=True)["Checks"]

    rows = [row[:7] for row in sheet.iter_rows(min_row=6, values_only=True)]

    assert [row[1] for row in rows] == [check.name for check in made]
    assert [row[6] for row in rows] == [check.result for check in made]
    assert len({check.name for check in made}) == len({check.key for check in made}) == len(made)
    assert written.checks == made
    assert not written.draft

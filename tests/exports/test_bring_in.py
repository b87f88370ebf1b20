"""Bringing records in: a messy sheet read as a person does, nothing guessed, all or nothing, once, and back."""

from __future__ import annotations

import csv
import datetime as dt
import io
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from exports.bring_in.bring import Wishes, bring_in, look
from exports.bring_in.kinds import KINDS
from exports.bring_in.reading import read_file
from exports.bring_in.report import HEADINGS, Report, as_rows, as_text
from exports.bring_in.template import write_template
from ledger.books.commands import CloseYear, TakeBackFile
from ledger.errors import BadInput, NotFound, Refused
from ledger.ledger import Ledger
from ledger.records.bringing import files
from ledger.records.rows import fingerprint
from ledger.records.store import Store, open_store
from ledger.selling.commands import AddCustomer, CreditSale
from ledger.stock.commands import AddSpecies, Undo
from tests.exports.messy import MESSY_COSTS, messy_costs, ods, workbook

NOW = dt.datetime(2025, 6, 4, 10, 0)
TODAY = NOW.date()
COSTS, STOCK, SALES, CUSTOMERS, PRICES = (KINDS[name] for name in ("costs", "stock", "sales", "customers", "prices"))
NOTHING = Wishes()


@pytest.fixture(scope="module")
def prepared(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger with a species and nothing else."""
    path = tmp_path_factory.mktemp("prepared") / "loft.rearledger"
    shutil.copyfile(sqlite_template, path)
    store = open_store(str(path))
    Ledger(store, clock=lambda: NOW, by="keeper").do(AddSpecies("PACH", "pachnoda-marginata"))
    store.close()
    return path


@pytest.fixture(autouse=True)
def _read_here(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Workbooks are read in this process: starting one of its own takes longer than all the rest of most tests."""
    if "apart" not in request.fixturenames:
        monkeypatch.setattr("exports.bring_in.finding.read_apart", read_file)


@pytest.fixture
def apart() -> None:
    """For a test that reads as the program does."""


@pytest.fixture
def ledger(prepared: Path, tmp_path: Path) -> Iterator[Ledger]:
    shutil.copyfile(prepared, tmp_path / "loft.rearledger")
    store = open_store(str(tmp_path / "loft.rearledger"))
    yield Ledger(store, clock=lambda: NOW, by="keeper")
    store.close()


def rows_of(ledger: Ledger) -> str:
    with ledger.store.reading() as conn:
        return fingerprint(conn).digest


def costs(ledger: Ledger) -> list[tuple[dt.date, str, int, str]]:
    return sorted(
        (row.bought_on, row.category, row.gross, row.supplier) for row in ledger.costs() if not row.taken_back
    )


def reasons(report: Report) -> dict[tuple[int, str], str]:
    """Reason by row and column."""
    return {(one.row, one.column): one.reason for one in report.refused}


# --- a messy sheet ----------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("apart")
def test_a_messy_sheet_says_what_a_person_reads_in_it(ledger: Ledger, tmp_path: Path) -> None:
    path = messy_costs(tmp_path / "spending.xlsx")

    report = look(ledger, COSTS, path, NOTHING)

    assert (report.read, report.accepted, report.refused, report.questions) == (5, 5, (), ())
    assert report.money == sum(amount for _, _, amount, _ in MESSY_COSTS)
    assert [(one.row, one.why) for one in report.skipped] == [
        (1, "above the headings"),
        (2, "above the headings"),
        (9, "a total"),
        (14, "a total"),
    ]
    assert ("F", "My remarks?", "") in report.columns
    bring_in(ledger, COSTS, path, NOTHING)
    assert costs(ledger) == sorted(MESSY_COSTS)
    assert ledger.prove() == ()


def test_a_look_records_nothing(ledger: Ledger, tmp_path: Path) -> None:
    before = rows_of(ledger)

    look(ledger, COSTS, messy_costs(tmp_path / "spending.xlsx"), NOTHING)

    assert rows_of(ledger) == before


@pytest.mark.parametrize("form", ["ods", "csv", "semicolons"])
def test_other_forms_of_file_say_the_same(ledger: Ledger, tmp_path: Path, form: str) -> None:
    table: list[list[str | int | float | dt.date | None]] = [["Date", "Category", "Amount", "Supplier"]]
    table += [[day, category, amount / 100, supplier] for day, category, amount, supplier in MESSY_COSTS]
    table.insert(3, [None, None, None, None])
    if form == "ods":
        path = ods(tmp_path / "spending.ods", table)
    else:
        path = tmp_path / "spending.csv"
        out = io.StringIO(newline="")
        csv.writer(out, delimiter=";" if form == "semicolons" else ",").writerows(table)
        path.write_text("\ufeff" + out.getvalue(), encoding="utf-8")

    bring_in(ledger, COSTS, path, NOTHING)

    assert costs(ledger) == sorted(MESSY_COSTS)


# --- nothing is guessed -----------------------------------------------------------------------------------------------


def test_an_order_of_day_and_month_that_is_not_clear_is_asked(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["03/04/2025", "feed", 5], ["05/04/2025", "feed", 6]]
    path = workbook(tmp_path / "dates.xlsx", table)

    report = look(ledger, COSTS, path, NOTHING)

    assert report.accepted == 0
    assert [one.choices for one in report.questions] == [("dmy", "mdy")]
    assert "2025-04-03 or 2025-03-04" in report.questions[0].sentence
    with pytest.raises(Refused, match="In which order"):
        bring_in(ledger, COSTS, path, NOTHING)
    bring_in(ledger, COSTS, path, Wishes(order="mdy"))
    assert [row[0] for row in costs(ledger)] == [dt.date(2025, 3, 4), dt.date(2025, 5, 4)]


def test_one_date_that_shows_the_order_answers_for_all(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["03/04/2025", "feed", 5], ["14/04/2025", "feed", 6]]

    bring_in(ledger, COSTS, workbook(tmp_path / "dates.xlsx", table), NOTHING)

    assert [row[0] for row in costs(ledger)] == [dt.date(2025, 4, 3), dt.date(2025, 4, 14)]


def test_dates_in_two_orders_are_never_swapped(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["04/14/2025", "feed", 5], ["14/04/2025", "feed", 6]]
    path = workbook(tmp_path / "dates.xlsx", table)

    assert "different orders" in look(ledger, COSTS, path, NOTHING).questions[0].sentence
    report = look(ledger, COSTS, path, Wishes(order="dmy"))

    assert reasons(report) == {(2, "A"): "is no day in the order of the other dates."}
    assert report.refused[0].suggestion == "Perhaps 2025-04-14?"


def test_an_amount_that_may_mean_two_things_is_refused(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["2025-04-14", "feed", "1.234"], ["2025-04-15", "feed", "5"]]
    path = workbook(tmp_path / "amounts.xlsx", table)

    report = look(ledger, COSTS, path, NOTHING)

    assert "may mean" in reasons(report)[2, "C"]
    assert report.accepted == 1
    bring_in(ledger, COSTS, path, Wishes(sign=","))
    assert [row[2] for row in costs(ledger)] == [123_400, 500]


def test_an_amount_beside_it_that_shows_the_decimal_sign_settles_it(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["2025-04-14", "feed", "1.234"], ["2025-04-15", "feed", "5,50"]]

    bring_in(ledger, COSTS, workbook(tmp_path / "amounts.xlsx", table), NOTHING)

    assert [row[2] for row in costs(ledger)] == [123_400, 550]


def test_a_year_of_two_figures_in_front_is_asked_about(ledger: Ledger, tmp_path: Path) -> None:
    table = [
        ["Date", "Category", "Amount"],
        ["2025-01-14", "feed", 5],
        ["24/02/25", "feed", 6],
        ["31/02/25", "feed", 7],
    ]
    path = tmp_path / "short.csv"
    path.write_text("\n".join(",".join(map(str, row)) for row in table))

    report = look(ledger, COSTS, path, NOTHING)

    assert report.questions[0].sentence == "Do the dates begin with the year? 24/02/25 would be 2024-02-25."
    assert reasons(look(ledger, COSTS, path, Wishes(order="dmy"))) == {
        (4, "A"): "is no day in the order of the other dates."
    }


BAD = {
    "a number for a date": (["45760", "feed", 5], "A", "is no date with a year."),
    "a serial for a date": ([45760, "feed", 5], "A", "is a number and no date."),
    "a day that is none": (["2025-02-30", "feed", 5], "A", "is no day of the calendar"),
    "a date without a year": (["14/3", "feed", 5], "A", "is no date with a year."),
    "a word for a date": (["yesterday", "feed", 5], "A", "is no date with a year."),
    "no amount": (["2025-02-03", "feed", None], "C", "has no amount."),
    "words for an amount": (["2025-02-03", "feed", "free"], "C", "is not an amount"),
    "too many decimals": (["2025-02-03", "feed", 1.234], "C", "has 3 decimals"),
    "another currency": (["2025-02-03", "feed", "£5"], "C", "another currency"),
    "a negative amount": (["2025-02-03", "feed", -5], "C", "is less than nothing."),
    "not a number": (["2025-02-03", "feed", "NaN"], "C", "is not an amount"),
    "a control character": (["2025-02-03", "fe\u202eed", 5], "B", "cannot be kept"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_cell_that_is_wrong_is_refused_with_its_place(ledger: Ledger, tmp_path: Path, name: str) -> None:
    row, column, reason = BAD[name]
    table = [["Date", "Category", "Amount"], ["2025-01-14", "feed", 1], row]
    path = workbook(tmp_path / "bad.xlsx", table)
    before = rows_of(ledger)

    report = look(ledger, COSTS, path, NOTHING)

    assert [(one.row, one.column) for one in report.refused] == [(3, column)], report.refused
    assert reason in report.refused[0].reason
    assert report.accepted == 1
    with pytest.raises(Refused, match="Nothing was recorded, since 1 row cannot"):
        bring_in(ledger, COSTS, path, NOTHING)
    assert rows_of(ledger) == before


def test_figures_that_only_a_machine_takes_for_an_amount_or_a_day_are_refused(ledger: Ledger, tmp_path: Path) -> None:
    amounts = ["1E999", "NaN", "1e3", "\uff15.\uff10\uff10", "\u0663", "inf", "1_000"]
    days = ["31/02/2025", "30.02.2025", "2025-13-01", "1900-02-29", "\uff12025-01-14", "60"]
    path = tmp_path / "figures.csv"
    lines = ["Date,Category,Amount", "2025-01-14,feed,5.00", *(f"2025-01-14,feed,{amount}" for amount in amounts)]
    path.write_text("\n".join([*lines, *(f"{day},feed,5.00" for day in days)]), encoding="utf-8")

    report = look(ledger, COSTS, path, NOTHING)

    assert report.accepted == 1, "the row written as people do"
    assert list(reasons(report)) == [(row, "C") for row in range(3, 10)] + [(row, "A") for row in range(10, 16)]
    assert reasons(report)[10, "A"] == "is no day of the calendar from 1990 to 2199."


SPLIT = "Date,Category,Amount,,\n2025-01-14,feed,5.00,,mine\n2025-01-15,heat,1,234.50,,\n"


def test_a_row_wider_than_its_headings_is_refused_with_row_and_column(ledger: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    path.write_text(SPLIT)

    with pytest.raises(Refused, match=r'1 row cannot be brought in\. Row 3, column D \(no heading\): "234\.50" stands'):
        bring_in(ledger, COSTS, path, NOTHING)
    path.write_text(SPLIT.replace("1,234.50", '"1,234.50"'))
    bring_in(ledger, COSTS, path, NOTHING)

    assert [row[2] for row in costs(ledger)] == [500, 123_450], "a remark under no heading is no part of an amount"


@pytest.mark.parametrize(("last", "is_record"), [("Total,2025-01-14,feed,5", True), ("Total,,,16", False)])
def test_a_row_taken_for_a_total_is_said_and_a_shop_of_that_name_is_kept(
    ledger: Ledger, tmp_path: Path, last: str, is_record: bool
) -> None:
    path = tmp_path / "total.csv"
    path.write_text(f"Supplier,Date,Category,Amount\nCorner,2025-01-13,feed,11\n{last}\n")

    done = bring_in(ledger, COSTS, path, NOTHING)

    assert [row[3] for row in costs(ledger)] == ["Corner", *(["Total"] if is_record else [])]
    assert ("Row 3 was taken for a total and left out: Total | 16" in done.cautions) is not is_record


def test_a_customer_called_total_is_kept_with_an_address_and_said_without(ledger: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "people.csv"
    path.write_text("Name,Contact\nTotal,t@total.example\nTotal,\n")

    done = bring_in(ledger, CUSTOMERS, path, NOTHING)

    assert done.sentence == "File 1: 1 row of customers from people.csv was recorded."
    assert done.cautions == ("Row 3 was taken for a total and left out: Total",)


@pytest.mark.parametrize("steps", [1, 2, 3])
def test_what_is_stopped_is_not_recorded_however_late_it_is_stopped(ledger: Ledger, tmp_path: Path, steps: int) -> None:
    path = tmp_path / "costs.csv"
    path.write_text("Supplier,Date,Category,Amount\nCorner,2025-01-13,feed,11\n")
    seen: list[str] = []

    def stop(what: str, done: int, total: int) -> None:
        if what == "recording":
            seen.append(what)
            if len(seen) == steps:
                raise Refused("Stopped.")

    before = rows_of(ledger)
    try:
        bring_in(ledger, COSTS, path, NOTHING, stop)
    except Refused:
        assert rows_of(ledger) == before
    else:
        assert steps > len(seen)
        assert rows_of(ledger) != before
    assert len(seen) >= min(steps, 2)


def test_the_same_file_read_by_other_columns_is_known_and_refused(ledger: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "shops.csv"
    path.write_text("Date,Category,Amount,Shop\n2025-01-14,feed,5,Corner\n")
    bring_in(ledger, COSTS, path, Wishes(columns={"Shop": "supplier"}))
    before = rows_of(ledger)

    with pytest.raises(Refused, match=r"this very file before \(file 1\).* rearledger bring-in undo 1\."):
        bring_in(ledger, COSTS, path, Wishes(columns={"Shop": "text"}))
    again = bring_in(ledger, COSTS, path, NOTHING)

    assert again.sentence == "Every row of shops.csv is in the ledger already; nothing was recorded."
    assert rows_of(ledger) == before


def test_an_edited_copy_read_by_other_columns_is_warned_of_before_it_counts_twice(
    ledger: Ledger, tmp_path: Path
) -> None:
    path, copy = tmp_path / "shops.csv", tmp_path / "shops again.csv"
    lines = [f"2025-01-{day:02},feed,{day}.50,Corner" for day in range(1, 9)]
    path.write_text("\n".join(["Date,Category,Amount,Shop", *lines]))
    copy.write_text("\n".join(["Date,Category,Amount,Shop", *lines, "2025-01-09,feed,9.50,Corner"]))
    bring_in(ledger, COSTS, path, Wishes(columns={"Shop": "supplier"}))

    same = look(ledger, COSTS, copy, NOTHING)
    otherwise = look(ledger, COSTS, copy, Wishes(columns={"Shop": "text"}))

    assert (same.known, same.accepted, len(same.cautions)) == (8, 1, 1)
    assert "ends as this one is opened" in same.cautions[0], "nothing is said of rows that are known"
    assert otherwise.accepted == 9
    assert (
        "8 new rows have the same date, category and amount as rows that came in with file 1" in otherwise.cautions[0]
    )
    ledger.do(TakeBackFile(1, TODAY))
    assert not any("file 1" in one for one in look(ledger, COSTS, copy, Wishes(columns={"Shop": "text"})).cautions)


def test_a_formula_that_was_never_reckoned_and_an_error_are_named(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["2025-01-14", "feed", "=1+1"], ["2025-01-15", "feed", "#N/A"]]

    report = look(ledger, COSTS, workbook(tmp_path / "formulas.xlsx", table), NOTHING)

    assert "never stored" in reasons(report)[2, "C"]
    assert "error of the spreadsheet" in reasons(report)[3, "C"]


def test_cells_merged_over_rows_are_not_filled_in(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["2025-01-14", "feed", 5], [None, "heat", 6]]
    path = workbook(tmp_path / "merged.xlsx", table, merged=["A2:A3"])

    report = look(ledger, COSTS, path, NOTHING)

    assert "merged" in reasons(report)[3, "A"]


def test_a_new_category_is_asked_for_its_kind(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["2025-01-14", "moonlight", 5]]
    path = workbook(tmp_path / "new.xlsx", table)

    (question,) = look(ledger, COSTS, path, NOTHING).questions
    assert "the category moonlight is new; of which kind is it?" in question.sentence
    bring_in(
        ledger,
        COSTS,
        workbook(tmp_path / "k.xlsx", [["Date", "Category", "Amount", "Kind"], [*table[1], "overhead"]]),
        NOTHING,
    )

    assert costs(ledger) == [(dt.date(2025, 1, 14), "moonlight", 500, "")]


# --- columns ----------------------------------------------------------------------------------------------------------


def test_strange_headings_are_asked_for_once_and_remembered(ledger: Ledger, tmp_path: Path) -> None:
    first = workbook(tmp_path / "a.xlsx", [["Dies", "Causa", "Euro"], ["2025-01-14", "feed", 5]])
    later = workbook(tmp_path / "b.xlsx", [["Euro", "Causa", "Dies"], [6, "feed", "2025-02-14"]])
    wishes = Wishes(columns={"Dies": "date", "causa": "category", "Euro": "amount"})

    with pytest.raises(BadInput, match="looks like the headings"):
        look(ledger, COSTS, first, NOTHING)
    bring_in(ledger, COSTS, first, wishes)
    bring_in(ledger, COSTS, later, NOTHING)

    assert [row[2] for row in costs(ledger)] == [500, 600]


def test_a_column_that_is_needed_is_asked_for(ledger: Ledger, tmp_path: Path) -> None:
    path = workbook(tmp_path / "a.xlsx", [["Date", "Category", "Euro"], ["2025-01-14", "feed", 5]])

    report = look(ledger, COSTS, path, NOTHING)

    assert [one.sentence for one in report.questions] == ["Which column holds the amount?"]
    assert report.questions[0].choices == ("Date", "Category", "Euro")


@pytest.mark.parametrize(
    ("wishes", "sentence"),
    [
        (Wishes(columns={"Date": "nonsense"}), "There is no column"),
        (Wishes(columns={"None": "text"}), 'no column headed "None"'),
        (Wishes(sheet="Other"), "has no sheet"),
    ],
)
def test_wishes_that_do_not_fit_are_refused(ledger: Ledger, tmp_path: Path, wishes: Wishes, sentence: str) -> None:
    path = workbook(tmp_path / "a.xlsx", [["Date", "Category", "Amount"], ["2025-01-14", "feed", 5]])

    with pytest.raises(NotFound, match=sentence):
        look(ledger, COSTS, path, wishes)


def test_paid_with_a_currency_is_how_much_and_not_whether(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Paid (EUR)"], ["2025-01-14", "feed", 5]]
    bring_in(ledger, COSTS, workbook(tmp_path / "a.xlsx", table), NOTHING)
    assert [row[2] for row in costs(ledger)] == [500]

    # Beside an amount it is nothing that is asked for; without a currency it still says whether.
    table = [["Date", "Category", "Amount", "Paid (EUR)", "Paid"], ["2025-01-15", "feed", 6, 6, "no"]]
    report = look(ledger, COSTS, workbook(tmp_path / "b.xlsx", table), NOTHING)
    assert (report.accepted, report.refused) == (1, ())
    assert [column[2] for column in report.columns] == ["date", "category", "amount", "", "paid"]


def test_a_new_shop_much_like_a_known_one_is_doubted_in_the_report(ledger: Ledger, tmp_path: Path) -> None:
    head = ["Date", "Category", "Amount", "Shop"]
    bring_in(ledger, COSTS, workbook(tmp_path / "a.xlsx", [head, ["2025-01-14", "feed", 5, "Pimwick"]]), NOTHING)
    rest = [["2025-01-15", "heat", 6, shop] for shop in ("Pimwik", "PIMWICK", "Orsel", "Pimwik")]

    report = look(ledger, COSTS, workbook(tmp_path / "b.xlsx", [head, *rest]), NOTHING)

    doubts = [one for one in report.cautions if "same shop" in one]
    assert doubts == ['Row 2: "Pimwik" is much like "Pimwick"; is it the same shop?']
    assert report.accepted == 4


def test_two_columns_that_could_be_the_same_are_asked_about(ledger: Ledger, tmp_path: Path) -> None:
    path = workbook(tmp_path / "a.xlsx", [["Date", "Category", "Gross", "Total"], ["2025-01-14", "feed", 5, 6]])

    with pytest.raises(BadInput, match="Two columns"):
        look(ledger, COSTS, path, NOTHING)
    bring_in(ledger, COSTS, path, Wishes(columns={"Total": "amount"}))

    assert [row[2] for row in costs(ledger)] == [600]


# --- once -------------------------------------------------------------------------------------------------------------


def test_the_same_file_twice_adds_nothing_and_a_longer_one_only_what_is_new(ledger: Ledger, tmp_path: Path) -> None:
    table = [
        ["Date", "Category", "Amount"],
        ["2025-01-14", "feed", 5],
        ["2025-01-14", "feed", 5],
        ["2025-02-03", "heat", 6],
    ]
    path = workbook(tmp_path / "a.xlsx", table)
    assert "3 rows" in bring_in(ledger, COSTS, path, NOTHING).sentence
    before = rows_of(ledger)

    again = bring_in(ledger, COSTS, path, NOTHING)
    assert "already" in again.sentence
    assert rows_of(ledger) == before
    longer = workbook(tmp_path / "b.xlsx", [table[0], table[3], ["2025-03-01", "feed", 7], table[1], table[2]])
    report = look(ledger, COSTS, longer, NOTHING)
    bring_in(ledger, COSTS, longer, NOTHING)

    assert (report.known, report.accepted) == (3, 1)
    assert [row[2] for row in costs(ledger)] == [500, 500, 600, 700]


def test_a_third_equal_row_is_a_new_one(ledger: Ledger, tmp_path: Path) -> None:
    """Two purchases may be alike: the second and the third are told apart by how many of them there are."""
    row = ["2025-01-14", "feed", 5]
    bring_in(ledger, COSTS, workbook(tmp_path / "a.xlsx", [["Date", "Category", "Amount"], row, row]), NOTHING)

    bring_in(ledger, COSTS, workbook(tmp_path / "b.xlsx", [["Date", "Category", "Amount"], row, row, row]), NOTHING)

    assert len(costs(ledger)) == 3


def test_an_own_number_with_other_content_is_not_overwritten(ledger: Ledger, tmp_path: Path) -> None:
    head = ["Date", "Category", "Amount", "Bill no"]
    bring_in(ledger, COSTS, workbook(tmp_path / "a.xlsx", [head, ["2025-01-14", "feed", 5, "B17"]]), NOTHING)

    report = look(ledger, COSTS, workbook(tmp_path / "b.xlsx", [head, ["2025-01-14", "feed", 6, "B17"]]), NOTHING)

    assert "with other content" in reasons(report)[2, "D"]
    assert report.accepted == 0


def test_rows_are_known_however_the_file_is_saved(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], [dt.date(2025, 1, 14), "feed", 5.5]]
    bring_in(ledger, COSTS, workbook(tmp_path / "a.xlsx", table), NOTHING)
    (tmp_path / "a.csv").write_text("Amount;Date;Category\n5,50;14.01.2025;feed\n", encoding="utf-8")

    assert look(ledger, COSTS, tmp_path / "a.csv", NOTHING).known == 1
    assert look(ledger, COSTS, ods(tmp_path / "a.ods", table), NOTHING).known == 1


def test_all_or_nothing(ledger: Ledger, tmp_path: Path) -> None:
    """The last row is refused by the ledger itself, after everything before it was written."""
    table = [
        ["Date", "Category", "Amount"],
        *(["2025-01-14", "feed", n] for n in range(1, 30)),
        ["2025-12-24", "feed", 5],
    ]
    before = rows_of(ledger)

    named = r'^Row 31, column A \(Date\): "2025-12-24"\. .* still to come.* Nothing was recorded\.$'
    with pytest.raises(BadInput, match=named):
        bring_in(ledger, COSTS, workbook(tmp_path / "a.xlsx", table), NOTHING)

    assert rows_of(ledger) == before
    assert ledger.ask(files) == ()


# --- stock, sales, customers, prices; and back ------------------------------------------------------------------------

STOCK_TABLE = [
    ["Lot", "Species", "Stage", "Count", "Started on", "Counted on", "Tub", "Origin", "Gen", "Supplier", "Papers"],
    [
        "P01",
        "PACH",
        "adult",
        "3.5.0",
        dt.date(2024, 11, 1),
        dt.date(2025, 1, 2),
        None,
        "CB",
        "F2",
        "Ombrel",
        "receipt 12",
    ],
    ["P08", "PACH", "L3", 40, dt.date(2025, 1, 1), dt.date(2025, 3, 1), 1, "CB", 3, "Ombrel", None],
    ["P08", "PACH", "L3", "about 20", dt.date(2025, 1, 1), dt.date(2025, 3, 1), 2, None, None, None, None],
]
SALES_TABLE = [
    ["Sale no", "Date", "Lot", "Stage", "Tub", "Qty", "Price", "Unit price", "Buyer", "Postage", "Paid"],
    [17, dt.date(2025, 4, 1), "P08", "L3", 1, 10, 15.0, None, "Velo Marrick", None, None],
    [17, dt.date(2025, 4, 1), "P08", "L3", 2, 5, None, 1.2, "Velo Marrick", None, None],
    [18, dt.date(2025, 3, 20), "P01", "adult", None, "1.1", None, 4.5, "Tarn", None, "no"],
]


@pytest.fixture
def stocked(ledger: Ledger, tmp_path: Path) -> Ledger:
    bring_in(ledger, STOCK, workbook(tmp_path / "stock.xlsx", STOCK_TABLE, "Opening stock"), NOTHING)
    return ledger


def test_opening_stock_makes_lots_with_their_tubs_origin_and_estimates(stocked: Ledger) -> None:
    there = {(row.lot, row.stage, row.sex, row.tub): row.count for row in stocked.stock()}

    assert there == {
        ("P01", "adult", "male", ""): 3,
        ("P01", "adult", "female", ""): 5,
        ("P08", "L3", "unsexed", "1"): 40,
        ("P08", "L3", "unsexed", "2"): 20,
    }
    assert "F2" in stocked.origin("P01").origin
    assert "F3" not in stocked.origin("P08").origin, "a generation without a document is stated and never derived"
    assert stocked.prove() == ()


def test_past_sales_are_one_sale_for_each_own_number(stocked: Ledger, tmp_path: Path) -> None:
    path = workbook(tmp_path / "sales.xlsx", SALES_TABLE)

    report = look(stocked, SALES, path, NOTHING)
    bring_in(stocked, SALES, path, NOTHING)

    assert (report.refused, report.counted, report.money) == ((), 17, 1500 + 600 + 900)
    sales = {row.number: (row.sold_on, row.customer, row.total, row.owed) for row in stocked.sales()}
    assert sales == {
        "S-2025-0001": (dt.date(2025, 3, 20), "Tarn", 900, 900),
        "S-2025-0002": (dt.date(2025, 4, 1), "Velo Marrick", 2100, 0),
    }
    assert sum(row.count for row in stocked.stock()) == 68 - 17
    assert stocked.prove() == ()


def test_a_sale_of_more_animals_than_there_are_is_refused_with_its_row(stocked: Ledger, tmp_path: Path) -> None:
    table = [SALES_TABLE[0], [19, dt.date(2025, 4, 1), "P08", "L3", 1, 41, 15.0, None, "Tarn", None, None]]

    report = look(stocked, SALES, workbook(tmp_path / "sales.xlsx", table), NOTHING)

    assert [one.row for one in report.refused] == [2]
    assert "40" in report.refused[0].reason
    assert report.refused[0].text == "41", "as it stands there"
    with pytest.raises(BadInput, match=r'^Row 2, column F \(Qty\): "41"\. .* Nothing was recorded\.$'):
        bring_in(stocked, SALES, workbook(tmp_path / "sales.xlsx", table), NOTHING)


def test_a_row_of_a_sale_that_the_ledger_refuses_is_told_from_the_others_of_that_sale(
    stocked: Ledger, tmp_path: Path
) -> None:
    table = [*SALES_TABLE[:2], [17, dt.date(2025, 4, 1), "P77", "L3", None, 5, None, 1.2, "Velo Marrick", None, None]]

    with pytest.raises(BadInput, match=r'^Row 3, column C \(Lot\): "P77"\. There'):
        bring_in(stocked, SALES, workbook(tmp_path / "sales.xlsx", table), NOTHING)


def test_rows_of_one_sale_must_agree(stocked: Ledger, tmp_path: Path) -> None:
    table = [*SALES_TABLE[:2], [17, dt.date(2025, 4, 2), "P08", "L3", 2, 5, None, 1.2, "Velo Marrick", None, None]]

    report = look(stocked, SALES, workbook(tmp_path / "sales.xlsx", table), NOTHING)

    assert "do not agree on date" in report.refused[0].reason


def test_everything_a_file_recorded_is_taken_back_and_may_come_again(stocked: Ledger, tmp_path: Path) -> None:
    sales = workbook(tmp_path / "sales.xlsx", SALES_TABLE)
    spending = messy_costs(tmp_path / "spending.xlsx")
    before = {(row.lot, row.stage, row.sex, row.tub): row.count for row in stocked.stock()}
    bring_in(stocked, SALES, sales, NOTHING)
    bring_in(stocked, COSTS, spending, NOTHING)

    stocked.do(TakeBackFile(3, TODAY))
    stocked.do(TakeBackFile(2, TODAY))

    assert {(row.lot, row.stage, row.sex, row.tub): row.count for row in stocked.stock()} == before
    assert costs(stocked) == []
    assert all(row.owed == 0 for row in stocked.sales())
    assert stocked.income(2025).accruals_result == 0
    assert stocked.prove() == ()
    with pytest.raises(Refused, match="already"):
        stocked.do(TakeBackFile(2, TODAY))
    bring_in(stocked, SALES, sales, NOTHING)
    assert stocked.prove() == ()
    assert [(one.number, one.undone) for one in stocked.ask(files)] == [(4, False), (3, True), (2, True), (1, False)]


def test_past_sales_taken_back_and_brought_in_again_count_once_in_the_year_they_are_of(
    stocked: Ledger, tmp_path: Path
) -> None:
    sales = workbook(tmp_path / "sales.xlsx", SALES_TABLE)
    bring_in(stocked, SALES, sales, NOTHING)
    once = stocked.income(2025)
    later = Ledger(stocked.store, clock=lambda: dt.datetime(2026, 2, 3, 10, 0), by=stocked.by)

    later.do(TakeBackFile(2, dt.date(2026, 2, 3)))
    nothing = later.income(2025)
    bring_in(later, SALES, sales, NOTHING)

    assert (nothing.cash_result, nothing.accruals_result) == (0, 0)
    assert (later.income(2025).cash_result, later.income(2025).accruals_result) == (
        once.cash_result,
        once.accruals_result,
    )
    assert (later.income(2026).cash_result, later.income(2026).accruals_result) == (0, 0)
    assert later.prove() == ()
    # A sale that a buyer gave back is another thing: its money went back on the day it did.
    number = max(row.number for row in later.sales() if not row.undone)
    later.do(CreditSale(number, dt.date(2026, 2, 3), "given back"))
    assert later.income(2026).cash_result < 0


def test_a_file_of_a_closed_year_is_taken_back_in_the_open_one_and_that_is_said_first(
    stocked: Ledger, tmp_path: Path
) -> None:
    bring_in(stocked, SALES, workbook(tmp_path / "sales.xlsx", SALES_TABLE), NOTHING)
    assert stocked.preview(TakeBackFile(2, TODAY)).cautions == ()
    later = Ledger(stocked.store, clock=lambda: dt.datetime(2026, 2, 3, 10, 0), by=stocked.by)
    later.do(CloseYear(2025, dt.date(2026, 2, 3)))
    closed = later.income(2025)

    plan = later.preview(TakeBackFile(2, dt.date(2026, 2, 3)))
    later.do(TakeBackFile(2, dt.date(2026, 2, 3)))

    assert "is closed: this is accounted on 1 January 2026" in plan.cautions[0]
    assert later.income(2025) == closed
    assert later.income(2026).cash_result == -closed.cash_result


def test_undo_after_a_file_takes_no_older_act_back_and_says_how_the_file_is(stocked: Ledger, tmp_path: Path) -> None:
    stocked.do(AddCustomer("Orla Venn"), source="screen")
    bring_in(stocked, SALES, workbook(tmp_path / "sales.xlsx", SALES_TABLE), NOTHING)

    with pytest.raises(Refused, match=r"your last act brought in file 2\. .* x in the list"):
        stocked.do(Undo(), source="screen")

    stocked.do(TakeBackFile(2, TODAY), source="screen")
    with pytest.raises(Refused, match="bring the file in again"):
        stocked.do(Undo(), source="screen")


def test_a_file_that_another_rests_on_names_that_other(stocked: Ledger, tmp_path: Path) -> None:
    bring_in(stocked, SALES, workbook(tmp_path / "sales.xlsx", SALES_TABLE), NOTHING)

    with pytest.raises(Refused, match="File 2 was brought in after it: take that back first"):
        stocked.do(TakeBackFile(1, TODAY))


def test_stock_that_was_sold_since_is_not_taken_back(stocked: Ledger, tmp_path: Path) -> None:
    bring_in(stocked, SALES, workbook(tmp_path / "sales.xlsx", SALES_TABLE), NOTHING)
    before = rows_of(stocked)

    with pytest.raises(Refused):
        stocked.do(TakeBackFile(1, TODAY))

    assert rows_of(stocked) == before


def test_opening_stock_that_nothing_rests_on_is_taken_back(stocked: Ledger) -> None:
    stocked.do(TakeBackFile(1, TODAY))

    assert stocked.stock() == ()
    assert stocked.prove() == ()


def test_customers_come_in_and_are_erased_again_unless_they_bought_something(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Name", "E-mail", "Type"], ["Tarn", "tarn@example.org", "trade"], ["Velo [/b]", None, None]]
    bring_in(ledger, CUSTOMERS, workbook(tmp_path / "c.xlsx", table), NOTHING)
    assert {(one.name, one.kind, one.contact) for one in ledger.customers()} == {
        ("Tarn", "trade", "tarn@example.org"),
        ("Velo [/b]", "retail", ""),
    }

    ledger.do(TakeBackFile(1, TODAY))

    assert ledger.customers() == ()
    assert b"tarn@example.org" not in Path(ledger.store.target).read_bytes()


def test_a_customer_who_is_known_is_refused_with_its_row(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Name", "Type"], ["Tarn", "trade"], ["tarn", "retail"]]

    report = look(ledger, CUSTOMERS, workbook(tmp_path / "c.xlsx", table), NOTHING)

    assert "already a customer" in reasons(report)[3, "A"]


def test_prices_come_in_and_go_back_to_those_before(ledger: Ledger, tmp_path: Path) -> None:
    head = ["Species", "Stage", "Price", "From"]
    old = workbook(tmp_path / "a.xlsx", [head, ["PACH", "L3", "1,50", "2025-01-01"]])
    new = workbook(tmp_path / "b.xlsx", [head, ["PACH", "L3", "1,80", "2025-02-01"]])
    bring_in(ledger, PRICES, old, NOTHING)
    bring_in(ledger, PRICES, new, NOTHING)
    assert [row.amount for row in ledger.prices()] == [180]

    done = ledger.do(TakeBackFile(2, TODAY))

    assert [row.amount for row in ledger.prices()] == [150]
    assert done.cautions == ()
    assert "stay" in ledger.do(TakeBackFile(1, TODAY)).cautions[0]


# --- report and template ----------------------------------------------------------------------------------------------


def test_the_report_can_be_read_as_text_and_row_by_row(ledger: Ledger, tmp_path: Path) -> None:
    table = [["Date", "Category", "Amount"], ["2025-02-30", "feed", 1], ["2025-02-03", "feed", "=HYPERLINK()"]]
    path = tmp_path / "bad.csv"
    path.write_text("\n".join(",".join(map(str, row)) for row in table), encoding="utf-8")

    report = look(ledger, COSTS, path, NOTHING)

    text = as_text(report, ledger.currency)
    assert "2 rows read, 0 blank, 0 skipped, 0 in the ledger already, 0 to bring in, 2 refused" in text
    assert 'Row 2, column A (Date): "2025-02-30"' in text
    assert report.digest in text
    rows = [dict(zip(HEADINGS, row, strict=True)) for row in as_rows(report)]
    assert [(row["what"], row["row"], row["column"]) for row in rows] == [("refused", 2, "A"), ("refused", 3, "C")]
    assert rows[1]["text"] == "=HYPERLINK()"


def test_the_template_is_read_back_by_its_own_headings(stocked: Ledger, tmp_path: Path) -> None:
    import openpyxl

    path = write_template(stocked, tmp_path / "template.xlsx")
    book = openpyxl.load_workbook(path)
    fillings: dict[str, list[object]] = {
        "Opening stock": ["P09", "PACH", "L1", 12, dt.date(2025, 5, 1)],
        "Past sales": [dt.date(2025, 5, 1), "P08", 2, 3.5, None, None, None, "1"],
        "Costs": [dt.date(2025, 5, 2), "feed", 9.9],
        "Customers": ["Nib Arden"],
        "Prices": ["PACH", "L3", 1.5, dt.date(2025, 1, 1)],
    }
    for sheet, row in fillings.items():
        for place, value in enumerate(row, start=1):
            book[sheet].cell(2, place).value = value
    book.save(tmp_path / "filled.xlsx")

    for kind in KINDS.values():
        report = look(stocked, kind, tmp_path / "filled.xlsx", NOTHING)
        assert (report.sheet, report.accepted, report.refused) == (kind.title, 1, ()), kind.name
        bring_in(stocked, kind, tmp_path / "filled.xlsx", NOTHING)
    assert stocked.prove() == ()
    validations = {kind.title: len(book[kind.title].data_validations.dataValidation) for kind in KINDS.values()}
    assert all(count for title, count in validations.items() if title != "Customers" or count)


def test_an_empty_template_has_nothing_to_bring_in(stocked: Ledger, tmp_path: Path) -> None:
    report = look(stocked, COSTS, write_template(stocked, tmp_path / "template.xlsx"), NOTHING)

    assert (report.read, report.accepted, report.ready) == (0, 0, False)


def test_two_who_bring_in_the_same_file_record_it_once(pg_store: Store, pg_url: str, tmp_path: Path) -> None:
    import threading

    path = workbook(
        tmp_path / "a.xlsx", [["Date", "Category", "Amount"], ["2025-01-14", "feed", 5], ["2025-01-15", "feed", 6]]
    )
    answers: list[str] = []

    def one() -> None:
        with Ledger.open(pg_url, clock=lambda: NOW) as ledger:
            try:
                answers.append(bring_in(ledger, COSTS, path, NOTHING).sentence)
            except Refused as refused:
                answers.append(refused.sentence)

    threads = [threading.Thread(target=one) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    with Ledger.open(pg_url, clock=lambda: NOW) as ledger:
        assert len(costs(ledger)) == 2
    assert sum("were recorded" in answer for answer in answers) == 1
    assert os.path.exists(path)

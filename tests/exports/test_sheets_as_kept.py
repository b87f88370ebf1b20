"""Sheets as people keep them for themselves: names in place of codes, a day written once, months summed up, old text.

What is matched or filled in is asked or said before anything is recorded; amounts and days are never guessed.
"""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from exports.bring_in.answers import Answers
from exports.bring_in.bring import Wishes, bring_in, look
from exports.bring_in.cautions import of_rows
from exports.bring_in.kinds import KINDS
from exports.bring_in.reading import read_file
from exports.bring_in.report import Refusal, as_rows, as_text, grouped
from exports.bring_in.template import template
from ledger.books.commands import TakeBackFile
from ledger.errors import BadInput, NotFound, Refused
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.store import open_store
from ledger.stock.commands import AddSpecies
from tests.exports.messy import Cell, messy_sales

NOW = dt.datetime(2025, 6, 4, 10, 0)
COSTS, STOCK, SALES, PRICES = (KINDS[name] for name in ("costs", "stock", "sales", "prices"))
NOTHING = Wishes()
HEAD: list[Cell] = ["Box", "What", "How many", "Stage", "Got", "From", "Paid", "How"]


@pytest.fixture(scope="module")
def kept(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger with three species and two lots."""
    folder = tmp_path_factory.mktemp("kept")
    shutil.copyfile(sqlite_template, folder / "loft.rearledger")
    store = open_store(str(folder / "loft.rearledger"))
    ledger = Ledger(store, clock=lambda: NOW, by="keeper")
    ledger.do(AddSpecies("PM", "pachnoda-marginata"))
    ledger.do(AddSpecies("ISO", "group-isopod", "dairy cow"))
    ledger.do(AddSpecies("ISO2", "group-isopod", "orange"))
    rows = [["A1", "pm", 40, "L3", "2025-01-02"], ["A2", "PM", "20m 20f", "adult", "2025-01-02"]]
    (folder / "lots.csv").write_text("\n".join(",".join(map(str, row)) for row in (HEAD[:5], *rows)))
    bring_in(ledger, STOCK, folder / "lots.csv", NOTHING)
    store.close()
    return folder / "loft.rearledger"


@pytest.fixture
def ledger(kept: Path, tmp_path: Path) -> Iterator[Ledger]:
    shutil.copyfile(kept, tmp_path / "loft.rearledger")
    store = open_store(str(tmp_path / "loft.rearledger"))
    yield Ledger(store, clock=lambda: NOW, by="keeper")
    store.close()


@pytest.fixture(autouse=True)
def _read_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("exports.bring_in.finding.read_apart", read_file)


def sheet(path: Path, *rows: list[Cell]) -> Path:
    """Rows as a file of delimited text."""
    path.write_text("\n".join(";".join("" if one is None else str(one) for one in row) for row in rows), "utf-8")
    return path


# --- species by name --------------------------------------------------------------------------------------------------


def test_a_species_is_known_by_its_names_and_asked_once_where_it_is_not(ledger: Ledger, tmp_path: Path) -> None:
    names = ["Pachnoda marginata", "sun beetles", "Dairy  COW", "P. marg.", "P. marg.", "isopod (any)"]
    rows: list[list[Cell]] = [[f"B{n}", name, 5, "adult", "2025-02-01"] for n, name in enumerate(names)]
    path = sheet(tmp_path / "stock.csv", HEAD[:5], *rows)

    report = look(ledger, STOCK, path, NOTHING)

    assert report.refused == ()
    assert [one.about for one in report.questions] == [("species", "P. marg."), ("species", "isopod (any)")]
    assert report.questions[0].sentence == '2 rows (5, 6): which of your species is "P. marg."?'
    assert report.questions[1].choices == ("ISO", "ISO2", "PM"), "two are of that template: never the first of them"
    assert '"sun beetles" is PM (sun beetle), 1 row.' in report.read_as
    with pytest.raises(Refused, match=r'--species "p marg=CODE"'):
        bring_in(ledger, STOCK, path, NOTHING)

    said = Wishes(species={"p marg": "pm", "Isopod any": "ISO2"})
    assert look(ledger, STOCK, path, said).ready
    bring_in(ledger, STOCK, path, said)
    assert {row.lot: row.species for row in ledger.stock() if row.lot.startswith("B")} == {
        "B0": "PM", "B1": "PM", "B2": "ISO", "B3": "PM", "B4": "PM", "B5": "ISO2",
    }  # fmt: skip
    assert look(ledger, STOCK, path, NOTHING).known == 6, "the same rows are known however the names are answered"


def test_an_answer_that_names_no_species_is_refused_and_an_old_one_is_asked_again(
    ledger: Ledger, tmp_path: Path
) -> None:
    path = sheet(tmp_path / "stock.csv", HEAD[:5], ["B1", "herc", 5, "adult", "2025-02-01"])

    with pytest.raises(NotFound, match='no species "DH"; yours are: ISO, ISO2, PM'):
        look(ledger, STOCK, path, Wishes(species={"herc": "DH"}))
    earlier = look(ledger, STOCK, path, Wishes(before=Answers(species={"herc": "DH"})))
    assert [one.about for one in earlier.questions] == [("species", "herc")]
    assert look(ledger, STOCK, path, Wishes(before=Answers(species={"herc": "PM"}))).ready


def test_spending_on_several_species_and_prices_take_names_too(ledger: Ledger, tmp_path: Path) -> None:
    spent = sheet(
        tmp_path / "s.csv",
        ["Date", "Category", "Amount", "Species"],
        ["2025-02-01", "feed", "5.00", "sun beetle, dairy cow"],
        ["2025-02-01", "feed", "5.00", "PM ISO2"],
    )
    prices = sheet(tmp_path / "p.csv", ["Animal", "size", "price", "From"], ["sun beetle", "L3", "4.50", "2025-01-01"])

    assert look(ledger, COSTS, spent, NOTHING).read_as == ('"sun beetle, dairy cow" is PM ISO, 1 row.',)
    report = look(ledger, PRICES, prices, NOTHING)
    assert report.ready
    assert report.money is None, "prices are no money that is recorded"


# --- kinds of new categories, refusals that are alike -----------------------------------------------------------------


def test_the_kind_of_a_new_category_is_asked_once_or_said_by_one_row(ledger: Ledger, tmp_path: Path) -> None:
    head: list[Cell] = ["When", "What for", "£", "Kind"]
    rows: list[list[Cell]] = [[f"2025-02-{day:02}", "fruit", "2.00", None] for day in range(1, 5)]
    rows += [["2025-02-09", "Heating", "3.00", None], ["2025-02-09", "jelly", "3.00", "used up"]]
    rows += [["2025-02-10", "jelly", "3.00", None]]
    path = sheet(tmp_path / "s.csv", head, *rows)

    report = look(ledger, COSTS, path, NOTHING)

    assert [one.about for one in report.questions] == [("category", "fruit"), ("category", "heating")]
    assert "4 rows (2, 3, 4, 5): the category fruit is new" in report.questions[0].sentence
    assert report.read_as == ("The new category jelly is used up, as other rows of it say, 1 row.",)
    bring_in(ledger, COSTS, path, Wishes(kinds={"Fruit": "used up", "heating": "heat"}))
    assert sorted({row.category for row in ledger.costs()}) == ["fruit", "heat", "jelly"]
    with pytest.raises(NotFound, match="no kind of spending"):
        look(ledger, COSTS, path, Wishes(kinds={"fruit": "eaten"}))


def test_animals_in_a_sheet_of_costs_are_explained(ledger: Ledger, tmp_path: Path) -> None:
    path = sheet(tmp_path / "s.csv", ["Date", "Category", "Amount"], ["2025-02-01", "Animals", "18.00"])

    (question,) = look(ledger, COSTS, path, NOTHING).questions

    assert "come in with their lots" in question.hint
    assert "How: bought" in question.hint
    said = sheet(
        tmp_path / "k.csv", ["Date", "Category", "Amount", "Kind"], ["2025-02-01", "animals", "18.00", "used up"]
    )
    assert question.hint in look(ledger, COSTS, said, NOTHING).read_as


def test_refusals_that_are_alike_are_one_line_and_each_a_row_of_the_csv(ledger: Ledger, tmp_path: Path) -> None:
    rows: list[list[Cell]] = [[f"2025-02-{day:02}", "feed", "free"] for day in range(1, 9)]
    path = sheet(tmp_path / "s.csv", ["Date", "Category", "Amount"], *rows, ["2025-02-30", "feed", "1.00"])

    report = look(ledger, COSTS, path, NOTHING)
    text = as_text(report, ledger.currency)

    assert '8 rows (2, 3, 4, 5, 6, 7, ...), column C (Amount): "free"' in text
    assert text.count("Amount)") == 1
    assert "Row 10, column A (Date)" in text
    assert len(as_rows(report)) == 9
    other = Refusal("s", 2, "C", "Amount", "x", "is no amount.")
    assert [one.rows for one in grouped([other, Refusal("s", 3, "D", "Tax", "x", "is no amount.")])] == [(2,), (3,)]


def test_cautions_that_differ_by_day_or_number_are_one_line_with_their_rows() -> None:
    said = [([row], (f"{row} January 2025 is more than a year ago; check the date.",)) for row in range(2, 12)]

    assert of_rows([*said, ([20, 21], ("No mother is named.",))]) == [
        "10 rows (2, 3, 4, 5, 6, 7, ...), such as: 2 January 2025 is more than a year ago; check the date.",
        "Row 20: No mother is named.",
    ]


# --- sales ------------------------------------------------------------------------------------------------------------


def test_a_day_and_a_buyer_written_once_are_carried_down_when_the_keeper_says_so(
    ledger: Ledger, tmp_path: Path
) -> None:
    path = messy_sales(tmp_path / "sold.xlsx")

    report = look(ledger, SALES, path, NOTHING)

    (question,) = report.questions
    assert question.sentence == (
        "4 rows (4, 5, 6, 9) without a date, under a row that has one: do they go on from it (the same date and "
        "customer, one sale together)?"
    )
    assert [one.row for one in report.skipped if one.why == "a total"] == [7, 11]
    with pytest.raises(Refused, match="--fill-down yes or no"):
        bring_in(ledger, SALES, path, NOTHING)
    assert {one.row for one in look(ledger, SALES, path, Wishes(fill=False)).refused} == {4, 5, 6, 9}

    report = look(ledger, SALES, path, Wishes(fill=True))
    assert report.read_as[-1] == (
        "7 rows become 4 sales: rows with the same own number, or that go on from the row above, are one."
    )
    assert "but for 1 to another buyer" in report.read_as[0]
    bring_in(ledger, SALES, path, Wishes(fill=True))
    assert {(row.sold_on, row.customer, row.total, row.owed) for row in ledger.sales()} == {
        (dt.date(2025, 2, 1), "Tarn", 1200, 0),
        (dt.date(2025, 2, 1), "Velo Marrick", 150, 0),
        (dt.date(2025, 3, 2), "Tarn", 500, 0),
        (dt.date(2025, 3, 9), "", 250, 250),
    }
    assert ledger.prove() == ()
    assert look(ledger, SALES, path, Wishes(fill=True)).known == 7


def test_nothing_is_carried_over_a_total_or_an_empty_row(ledger: Ledger, tmp_path: Path) -> None:
    head: list[Cell] = ["Date", "Lot", "No", "Total"]
    sold: list[Cell] = ["2025-02-01", "A1", 1, "1.00"]
    after: list[Cell] = [None, "A1", 1, "1.00"]
    path = sheet(
        tmp_path / "s.csv", head, sold, ["total", None, None, "1.00"], after, [None] * 4, sold, [None] * 4, after
    )

    report = look(ledger, SALES, path, NOTHING)

    assert report.questions == ()
    assert [(one.row, one.reason) for one in report.refused] == [(4, "has no date."), (8, "has no date.")]


def test_the_word_under_paid_is_how_it_was_paid_and_several_ways_are_parts(ledger: Ledger, tmp_path: Path) -> None:
    bring_in(ledger, SALES, messy_sales(tmp_path / "sold.xlsx"), Wishes(fill=True))

    with ledger.store.reading() as conn:
        joined = select(t.sale.c.customer_name, t.payment.c.method, t.payment.c.amount).join_from(t.sale, t.payment)
        paid = {tuple(row) for row in conn.execute(joined)}
    assert paid == {
        ("Tarn", "cash", 700), ("Tarn", "paypal", 500), ("Velo Marrick", "cash", 150), ("Tarn", "transfer", 500),
    }  # fmt: skip
    head: list[Cell] = ["Date", "Lot", "No", "Total", "Paid", "Sex"]
    bad = sheet(tmp_path / "b.csv", head, ["2025-02-01", "A2", 1, "1.00", "in eggs", "m"])
    (refusal,) = look(ledger, SALES, bad, NOTHING).refused
    assert refusal.reason == "is neither yes nor no, nor a way to pay (cash, card, transfer, paypal, cheque)."


def test_sexes_by_a_letter_and_one_sale_for_each_row_is_said(ledger: Ledger, tmp_path: Path) -> None:
    head: list[Cell] = ["Date", "Lot", "No", "Total", "Sex"]
    rows: list[list[Cell]] = [["2025-02-01", "A2", 1, "1.00", "m"], ["2025-02-01", "A2", 2, "2.00", "♀"]]
    path = sheet(tmp_path / "s.csv", head, *rows)

    report = look(ledger, SALES, path, NOTHING)
    bring_in(ledger, SALES, path, NOTHING)

    assert report.read_as == (
        "2 rows become 2 sales, one each. A column Own number makes the rows with the same number one sale.",
    )
    there = {row.sex: row.count for row in ledger.stock() if row.lot == "A2"}
    assert there == {"male": 19, "female": 18}


@pytest.mark.parametrize(
    ("first", "why"),
    [("total January", "a total"), ("Sub-total", "a total"), ("Totally", ""), ("counted", "one cell alone")],
)
def test_a_row_that_begins_with_a_sum_or_is_one_word_is_no_sale(
    ledger: Ledger, tmp_path: Path, first: str, why: str
) -> None:
    path = sheet(
        tmp_path / "s.csv", ["Date", "Lot", "No", "Total"], [first, None, None, None if first == "counted" else "9.00"]
    )

    report = look(ledger, SALES, path, NOTHING)

    assert [one.why for one in report.skipped] == ([why] if why else [])


# --- animals that were bought -----------------------------------------------------------------------------------------


def test_a_lot_that_was_bought_comes_in_at_its_price_which_is_a_cost_of_animals(ledger: Ledger, tmp_path: Path) -> None:
    rows: list[list[Cell]] = [
        ["C1", "PM", 10, "L3", "2025-02-01", "Brambling", "18.00", "bought"],
        ["C2", "PM", 10, "L3", "2025-02-01", "Brambling", None, None],
        ["C3", "PM", 10, "L1", "2025-02-01", None, None, "bred"],
        ["C4", "PM", 10, "egg", "2025-02-01", None, None, "own"],
    ]
    path = sheet(tmp_path / "stock.csv", HEAD, *rows)

    report = look(ledger, STOCK, path, NOTHING)
    bring_in(ledger, STOCK, path, NOTHING)

    assert report.money == 1800
    assert [one.split(":")[0] for one in report.read_as[:3]] == ["1 row opening", "1 row bought", "2 rows bred"]
    assert report.read_as[3].startswith("Of the opening rows, 1 names who the animals came from")
    assert "what was paid is a cost of animals, 18.00 EUR together" in report.read_as[1]
    (cost,) = ledger.costs()
    assert (cost.category, cost.gross, cost.supplier, cost.bought_on) == (
        "animals", 1800, "Brambling", dt.date(2025, 2, 1)
    )  # fmt: skip
    assert ledger.prove() == ()
    assert ledger.origin("C2").origin == ledger.origin("A1").origin, "who they came from says nothing of their origin"
    ledger.do(TakeBackFile(2, NOW.date()))
    assert [one.gross for one in ledger.costs() if not one.taken_back] == []
    assert ledger.prove() == ()


def test_a_price_without_a_word_how_they_came_is_asked_about(ledger: Ledger, tmp_path: Path) -> None:
    path = sheet(tmp_path / "stock.csv", HEAD[:7], ["C1", "PM", 10, "L3", "2025-02-01", "Brambling", "18.00"])

    (question,) = look(ledger, STOCK, path, NOTHING).questions
    opening = look(ledger, STOCK, path, Wishes(how="opening"))

    assert question.about == ("how", "")
    assert (opening.ready, opening.money) == (True, None)
    assert "What was paid is left out of 1 row, as answered." in opening.read_as
    assert look(ledger, STOCK, path, Wishes(how="bought")).money == 1800
    said = sheet(tmp_path / "b.csv", HEAD, ["C1", "PM", 10, "L3", "2025-02-01", None, "18.00", "bred"])
    assert "A price is of animals that were bought" in look(ledger, STOCK, said, NOTHING).refused[0].reason


# --- columns ----------------------------------------------------------------------------------------------------------


def test_a_column_is_named_as_the_program_shows_it_and_the_question_says_what_there_is(
    ledger: Ledger, tmp_path: Path
) -> None:
    path = sheet(tmp_path / "s.csv", ["Box", "What", "No", "size", "Since when"], ["D1", "PM", 4, "L3", "2025-02-01"])

    (question,) = look(ledger, STOCK, path, NOTHING).questions

    assert question.about == ("column", "started")
    assert "lot, species, stage, count, started" in question.hint
    assert look(ledger, STOCK, path, Wishes(columns={"Since when": "Started on"})).ready
    assert look(ledger, STOCK, path, Wishes(before=Answers({"since when": "started"}))).ready


def test_a_heading_in_everyday_words_or_german_is_known_and_one_may_be_left_out(ledger: Ledger, tmp_path: Path) -> None:
    german = sheet(tmp_path / "g.csv", ["Datum", "Los", "Stück", "Einzelpreis", "Käufer"],
                   ["14.02.2025", "A1", 2, "1,50", "Tarn"])  # fmt: skip
    both = sheet(tmp_path / "b.csv", ["Lot", "Box", "Species", "Number", "Stage", "Got", "Paid"],
                 ["D1", "7", "PM", 4, "L3", "2025-02-01", "4.00"])  # fmt: skip

    assert look(ledger, SALES, german, NOTHING).money == 300
    columns = look(ledger, STOCK, both, Wishes(columns={"Paid": "-"})).columns
    assert [field for _, _, field in columns] == ["lot", "tub", "species", "count", "stage", "started", ""]


# --- text that is no UTF-8 --------------------------------------------------------------------------------------------


def test_text_of_an_older_spreadsheet_is_read_and_that_is_said(ledger: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "s.csv"
    rows = "Date;Category;Amount;Shop\n2025-02-01;feed;5,00;Müller\n"
    path.write_bytes(rows.encode("cp1252"))

    report = look(ledger, COSTS, path, NOTHING)

    assert report.ready
    assert report.cautions[0].startswith("s.csv is no UTF-8 and was read as text of Windows (1252)")
    assert report.cautions[0].endswith("as in: Müller.")
    path.write_bytes(rows.encode("cp437"))
    with pytest.raises(BadInput, match="is not text in UTF-8"):
        look(ledger, COSTS, path, NOTHING)


def test_the_template_chooses_how_animals_came_from_a_list() -> None:
    import io

    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(template({"species": ["PM"]})))
    opening = book["Opening stock"]
    headings = {cell.value: cell.column_letter for cell in opening[1]}
    lists = {str(one.sqref).split("2:")[0]: one.formula1 for one in opening.data_validations.dataValidation}
    assert lists[headings["How"]] == '"opening,bought,bred"'
    assert "Price of the lot" in headings
    paid = {cell.value: cell.column_letter for cell in book["Past sales"][1]}["Paid"]
    said = {str(one.sqref).split("2:")[0]: one.formula1 for one in book["Past sales"].data_validations.dataValidation}
    assert said[paid] == '"yes,no,cash,card,transfer"'

"""A sheet brought in records row for row what its commands record one by one, also where it takes the short way."""

from __future__ import annotations

import csv
import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from exports.bring_in.acts import command, groups
from exports.bring_in.bring import Wishes, bring_in
from exports.bring_in.cautions import of_rows
from exports.bring_in.finding import find
from exports.bring_in.kinds import KINDS, Kind
from ledger.books.commands import CloseYear
from ledger.errors import BadInput, Refused
from ledger.ledger import Ledger
from ledger.records.store import open_store
from ledger.records.tables import metadata
from ledger.selling.commands import AddCustomer, SetPrice
from ledger.selling.plain import Plain
from ledger.stock import moving
from ledger.stock.at_hand import AtHand
from ledger.stock.commands import (
    AddLot,
    AddSpecies,
    Arrival,
    KeepBack,
    Mark,
    Move,
    OriginStatement,
    Record,
    SaveRound,
    SetFigure,
    SetLotFact,
)

NOW = dt.datetime(2025, 6, 4, 10, 0)
SALES, STOCK = KINDS["sales"], KINDS["stock"]
Table = list[list[object]]


def may(day: int) -> dt.date:
    return dt.date(2025, 5, 1) + dt.timedelta(days=day - 1)


OPENED = dt.date(2024, 10, 1)
BEFORE = [
    AddSpecies("PACH", "pachnoda-marginata"),
    AddLot("P01", "PACH", OPENED, (Arrival("hatched", "L3", unsexed=90), Arrival("opening", "L2", unsexed=9))),
    AddLot("P02", "PACH", OPENED, (Arrival("opening", "adult", males=20, females=20),)),
    AddLot("P03", "PACH", OPENED, (Arrival("opening", "L3", unsexed=9, tub="A"), Arrival("opening", "L3", unsexed=30))),
    AddLot("P04", "PACH", OPENED, (Arrival("opening", "soft adult", unsexed=6),)),
    AddLot(
        "P05", "PACH", OPENED, (Arrival("opening", "L3", unsexed=60),), origin=OriginStatement("CB", 2, supplier="Ryll")
    ),
    AddLot("P06", "PACH", OPENED, (Arrival("hatched", "L3", unsexed=10),)),
    AddLot("P07", "PACH", dt.date(2025, 4, 28), (Arrival("opening", "soft adult", unsexed=6),)),
    AddCustomer("Tarn", kind="trade"),
    SetPrice("PACH", "L3", 300, OPENED),
    SetPrice("PACH", "L3", 350, may(10)),
    SetFigure("PACH", "soft adult", "saleable", 1, OPENED),
    SetFigure("PACH", "L2", "saleable", 1, may(8)),
    SetLotFact("P05", "purpose", "breeding", may(14)),
    Record("P06", (Move("died", 8),), dt.date(2025, 1, 10)),
    Record("P06", (Move("found", 10, stage="L3"),), dt.date(2025, 1, 20)),
    KeepBack("P03", 20, "future breeders", dt.date(2025, 2, 1), "L3", tub=""),
    SaveRound((Mark("P04", "seen hard", stage="soft adult"),), dt.date(2025, 2, 3)),
    CloseYear(2024, dt.date(2025, 2, 4)),
]
HEADINGS = (
    "Date", "Lot", "Stage", "Sex", "Tub", "Count", "Price", "Price each", "Discount", "Buyer", "Channel", "Postage",
    "Paid", "Own number", "Free because", "Notes",
)  # fmt: skip


def sale(on: dt.date, lot: str, count: object, price: object = "", **more: object) -> list[object]:
    """A row of the sheet; what is not said is left empty."""
    said = {
        "Date": on,
        "Lot": lot,
        "Count": count,
        "Price": price,
        **{name.replace("_", " "): more[name] for name in more},
    }
    return [said.get(name, "") for name in HEADINGS]


BUYERS = ("Quill", "QUILL", "", "Tarn")
VARIED: Table = [
    list(HEADINGS),
    # Of the closed year: accounted on the first open day.
    sale(dt.date(2024, 11, 3), "P01", 2, "7.00", Stage="L3", Own_number="A1"),
    sale(dt.date(2024, 12, 30), "p01", 1, "3.50", Stage="L3", Buyer="tarn"),
    # Some a day and lot, with and without names, known and new, paid and not.
    *[
        sale(may(2 + n // 4), ("P01", "P05")[n % 2], 1 + n % 2, "4.50", Stage="L3", Buyer=BUYERS[n % 4])
        for n in range(28)
    ],
    sale(may(9), "P01", 3, Stage="L3", Paid="no"),
    sale(may(11), "P01", 3, Stage="L3", Paid="no", Buyer="Tarn", Channel="trade"),
    # Several lines of one sale, of one lot and of others, with postage once.
    sale(may(12), "P01", 2, "9.00", Stage="L3", Own_number="A7", Postage="4.50", Channel="post", Buyer="Ombrel"),
    sale(may(12), "P01", 1, "2.00", Stage="L2", Own_number="A7", Postage="4.50", Channel="post", Buyer="Ombrel"),
    sale(may(12), "P01", 2, "8.00", Stage="L3", Own_number="A7", Discount="1.00", Channel="post", Buyer="Ombrel"),
    sale(may(12), "P02", "1.2", "", Price_each="6.00", Own_number="A7", Channel="post", Buyer="Ombrel"),
    # By sex, by tub, the last ones of a tub, soft ones that were seen hard, free of charge.
    sale(may(13), "P02", 2, "14.00", Sex="female"),
    sale(may(13), "P02", 1, "7.00", Sex="female", Buyer="Quill"),
    sale(may(13), "P02", 1, "0", Sex="male", Free_because="sample"),
    sale(may(13), "P03", 4, "16.00", Stage="L3", Tub="A"),
    sale(may(13), "P03", 5, "20.00", Stage="L3", Tub="A"),
    sale(may(13), "P03", 6, "20.00", Stage="L3"),
    sale(may(13), "P04", 2, "12.00", Stage="soft adult"),
    sale(may(13), "P04", 4, "24.00", Stage="soft adult"),
    # What may be sold changes from day to day.
    sale(may(7), "P05", 1, "4.50", Stage="L3", Notes="for the school"),
    sale(may(8), "P01", 1, "2.00", Stage="L2"),
    sale(may(15), "P01", 1, "2.00", Stage="L2"),
]  # fmt: skip


@pytest.fixture(scope="module")
def opened(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("opened") / "loft.rearledger"
    shutil.copyfile(sqlite_template, path)
    store = open_store(str(path))
    for one in BEFORE:
        Ledger(store, clock=lambda: NOW, by="keeper").do(one)
    store.close()
    return path


@pytest.fixture
def two(opened: Path, tmp_path: Path) -> Iterator[tuple[Ledger, Ledger]]:
    """The same ledger twice."""
    ledgers = []
    for name in ("together", "one by one"):
        shutil.copyfile(opened, tmp_path / name)
        ledgers.append(Ledger(open_store(str(tmp_path / name)), clock=lambda: NOW, by="keeper"))
    yield ledgers[0], ledgers[1]
    for one in ledgers:
        one.close()


def written(path: Path, table: Table) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(table)
    return path


def one_by_one(ledger: Ledger, kind: Kind, path: Path) -> tuple[str, ...]:
    """Record what a sheet says, command by command; answers the cautions."""
    found = find(ledger, kind, path, Wishes())
    assert not found.rows.refused
    made = groups(kind, list(found.fresh))
    done = [ledger.do(command(kind, group, ledger.categories())) for group in made]
    return tuple(
        of_rows([([said.row for said in group.rows], one.cautions) for group, one in zip(made, done, strict=True)])
    )


NOT_COMPARED = {"operation", "outcome", "ledger_info", "bring_in", "bring_in_row", "setting"}
"""The acts themselves, and what is remembered of a file."""


def rows(ledger: Ledger) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, without the number of its act."""
    with ledger.store.reading() as conn:
        return {
            table.name: sorted(
                tuple(str(value) for name, value in row._mapping.items() if name != "operation_id")
                for row in conn.execute(select(table))
            )
            for table in metadata.sorted_tables
            if table.name not in NOT_COMPARED
        }


class Ways:
    """How many entries were written the short way, and how many the long one."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.short = self.long = 0
        way = moving.write_leaving

        def counting(*args: object) -> object:
            entry = way(*args)  # type: ignore[arg-type]
            self.short += entry is not None
            self.long += entry is None
            return entry

        monkeypatch.setattr(moving, "write_leaving", counting)


def test_a_varied_sheet_of_sales_records_what_each_alone_would(
    two: tuple[Ledger, Ledger], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path / "sales.csv", VARIED)
    cautions = one_by_one(two[1], SALES, path)
    ways = Ways(monkeypatch)

    done = bring_in(two[0], SALES, path, Wishes())

    assert done.cautions == cautions
    assert ways.short >= 25
    assert ways.long >= 5
    together, alone = rows(two[0]), rows(two[1])
    for name in alone:
        assert together[name] == alone[name], name
    assert two[0].prove() == ()


def test_the_comparison_tells_when_a_count_is_not_kept(
    two: tuple[Ledger, Ledger], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Control."""
    path = written(tmp_path / "sales.csv", VARIED[:12])
    one_by_one(two[1], SALES, path)
    monkeypatch.setattr(AtHand, "change", lambda self, held, count, earmarked: None)

    bring_in(two[0], SALES, path, Wishes())

    assert rows(two[0]) != rows(two[1])


def test_a_sale_is_refused_by_nothing_where_the_day_is_not_looked_at(
    two: tuple[Ledger, Ledger], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Control: what is known of a kind of animals is taken to hold on every day."""
    path = written(tmp_path / "sales.csv", [*VARIED[:9], *REFUSED["for breeding by then"]])
    with pytest.raises(BadInput, match="breeding"):
        bring_in(two[0], SALES, path, Wishes())
    monkeypatch.setattr(Plain, "has", lambda self, count, on: count <= self.held.count)

    bring_in(two[0], SALES, path, Wishes())


REFUSED: dict[str, Table] = {
    "more than there are": [sale(may(20), "P01", 30, "90.00", Stage="L3") for _ in range(4)],
    "more than were there on a later day": [sale(dt.date(2025, 1, 5), "P06", 5, "10.00", Stage="L3")],
    "set aside": [
        sale(may(20), "P03", 9, "30.00", Stage="L3", Tub="A"),
        *[sale(may(20), "P03", 6, "20.00", Stage="L3") for _ in range(2)],
    ],
    "soft": [sale(may(3), "P07", 1, "3.00", Stage="soft adult")],
    "not for sale at that stage": [
        sale(may(9), "P01", 1, "2.00", Stage="L2"),
        sale(may(5), "P01", 1, "2.00", Stage="L2"),
    ],
    "for breeding by then": [sale(may(day), "P05", 1, "4.50", Stage="L3") for day in (12, 13, 16)],
    "before the lot began": [sale(OPENED - dt.timedelta(days=1), "P01", 1, "4.50", Stage="L3")],
    "no price": [sale(may(16), "P02", 1, "6.00", Sex="male"), sale(may(17), "P02", 1, Sex="male")],
}


@pytest.mark.parametrize("table", REFUSED.values(), ids=REFUSED.keys())
def test_what_is_refused_is_refused_in_the_same_words_and_nothing_is_recorded(
    two: tuple[Ledger, Ledger], tmp_path: Path, table: Table
) -> None:
    path = written(tmp_path / "sales.csv", [*VARIED[:9], *table])
    before = rows(two[0])
    with pytest.raises(Refused) as alone:
        one_by_one(two[1], SALES, path)

    with pytest.raises(BadInput) as no:
        bring_in(two[0], SALES, path, Wishes())

    assert alone.value.sentence in no.value.sentence
    assert no.value.sentence.endswith("Nothing was recorded.")
    assert rows(two[0]) == before


def test_a_varied_sheet_of_stock_records_what_each_lot_alone_would(two: tuple[Ledger, Ledger], tmp_path: Path) -> None:
    headings = ["Lot", "Species", "Started on", "Counted on", "Stage", "Count", "Tub", "Origin", "Gen", "Supplier"]
    table: Table = [headings]
    table += [["N1", "PACH", may(1), may(3), "L3", 2 + n, f"T{n % 4}", "CB", 2, "Ombrel"] for n in range(6)]
    table += [["N2", "PACH", may(1), "", "adult", "1.2.3", tub, "", "", ""] for tub in ("", "B", "A")]
    table += [["N3", "PACH", OPENED, "", "L2", "about 40", "", "WC", "", "Ombrel"]]
    path = written(tmp_path / "stock.csv", table)
    one_by_one(two[1], STOCK, path)

    bring_in(two[0], STOCK, path, Wishes())

    assert rows(two[0]) == rows(two[1])
    assert two[0].prove() == ()


def test_a_new_holding_that_waits_no_more_is_changed_where_it_is(
    two: tuple[Ledger, Ledger], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows are written in the midst of each lot: the count of a holding comes before, with or after its row."""
    monkeypatch.setattr("ledger.records.later._AT_ONCE", 3)
    headings = ["Lot", "Species", "Started on", "Stage", "Count", "Tub"]
    table: Table = [headings, *[[f"N{n // 5}", "PACH", may(1), "L3", 2 + n, f"T{n % 3}"] for n in range(20)]]
    path = written(tmp_path / "stock.csv", table)
    one_by_one(two[1], STOCK, path)

    bring_in(two[0], STOCK, path, Wishes())

    assert rows(two[0]) == rows(two[1])

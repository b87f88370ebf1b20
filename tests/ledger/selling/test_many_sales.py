"""Sales saved together, as from a sheet that is brought in: what each alone would record, whatever comes between."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.event import listen

from ledger.errors import BadInput, Refused
from ledger.ledger import Ledger
from ledger.records.later import Later
from ledger.records.store import open_store
from ledger.records.tables import metadata
from ledger.selling.commands import (
    AddCustomer,
    Charge,
    CreditLine,
    CreditSale,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    Sell,
    SetPrice,
)
from ledger.stock.commands import (
    AddLot,
    AddSpecies,
    Arrival,
    KeepBack,
    Mark,
    MergeLots,
    Move,
    Part,
    Record,
    SaveRound,
    SetFigure,
    SetLotFact,
    SplitLot,
)
from ledger.trying import try_all
from tests.conftest import NOW
from tests.ledger.test_front_door import lines


def day(n: int) -> dt.date:
    return dt.date(2024, 12, 20) + dt.timedelta(days=n)


def sell(lot: str, count: int, n: int, customer: str = "Tarn", stage: str = "L3", **more: object) -> Sell:
    return Sell((LineOf(lot, count, 250 * count, stage),), day(n), customer, paid=(Paid(None, "cash"),), **more)  # type: ignore[arg-type]


BEFORE = [
    AddSpecies("PACH", "pachnoda-marginata"),
    AddLot("P01", "PACH", day(0), (Arrival("opening", "L3", unsexed=60), Arrival("opening", "adult", males=4))),
    AddLot("P02", "PACH", day(0), (Arrival("opening", "L3", unsexed=9, tub="A"), Arrival("opening", "L3", unsexed=6))),
    AddCustomer("tarn"),
    SetPrice("PACH", "L3", 300, day(0)),
]
ACTS = [
    sell("P01", 2, 3),
    sell("p01", 1, 3, "TARN"),
    Sell((LineOf("P02", 9, 2200, "L3", tub="A"),), day(4), "Ombrel"),
    Sell(
        (LineOf("P01", 3, stage="L3"), LineOf("P01", 2, 900, "adult", "male")),
        day(5),
        "ombrel",
        charges=(Charge("postage", 450),),
    ),
    KeepBack("P01", 30, "future breeders", day(5), "L3"),
    sell("P01", 6, 6, ""),
    sell("P01", 1, 2, "Dunmore"),
    Record("P01", (Move("died", 3, "L3"),), day(6)),
    sell("P01", 1, 12, "Dunmore"),
    sell("P01", 1, 13, "dunmore"),
    AddLot("P03", "PACH", day(13), (Arrival("opening", "soft adult", unsexed=8),)),
    SetFigure("PACH", "soft adult", "hardening days", 5, day(0)),
    SetFigure("PACH", "soft adult", "saleable", 1, day(0)),
    SaveRound((Mark("P03", "seen hard", stage="soft adult"),), day(14)),
    sell("P03", 2, 14, "Tarn", "soft adult"),
    CreditSale("S-2025-0003", day(14), "one came back", (CreditLine(1, 250, 1, 1),)),
    sell("P03", 5, 15, "", "soft adult"),
    PlaceHold("Quill", (Pick("P02", 2, "L3"),), NOW.date(), "48h"),
    sell("P02", 4, 16, "Quill"),
    Sell((LineOf("P01", 1, 100, "adult"),), day(17), "Tarn", "post", to_post=True),
    Record("P01", (Move("next stage", 2, "L3"), Move("next stage", 1, "L3")), day(18)),
    Record("P01", (Move("found", 2, "L3"), Move("missing", 1, "adult", "male")), day(18)),
    SplitLot("P01", "P04", (Part(6, "L3"), Part(1, "adult")), day(18)),
    Record("P04", (Move("tub moved", 2, "L3", to_tub="A"), Move("sexed", 2, "L3", to_sex="female")), day(18)),
    Sell((LineOf("P04", 1, 300, "L3", "unsexed", "A"),), day(19), "Dunmore"),
    MergeLots(("P02", "P04"), "P05", day(19)),
    Sell((LineOf("P05", 1, 400, "L3", "female"),), day(19), "Tarn"),
    SetLotFact("P01", "purpose", "breeding", day(18)),
    sell("P03", 1, 19, "Tarn", "soft adult"),
]
"""Between the sales comes what changes everything a sale is checked by."""


@pytest.fixture
def alone(sqlite_template: Path, tmp_path: Path) -> Iterator[Ledger]:
    shutil.copyfile(sqlite_template, tmp_path / "alone")
    store = open_store(str(tmp_path / "alone"))
    yield Ledger(store, clock=lambda: NOW, by="keeper")
    store.close()


def prepared(*ledgers: Ledger) -> None:
    for one in ledgers:
        for command in BEFORE:
            one.do(command)


def rows(ledger: Ledger) -> dict[str, list[tuple[object, ...]]]:
    """Every row, without the number of its act."""
    with ledger.store.reading() as conn:
        return {
            table.name: sorted(
                tuple(str(value) for name, value in row._mapping.items() if name != "operation_id")
                for row in conn.execute(select(table))
            )
            for table in metadata.sorted_tables
            if table.name not in ("operation", "outcome", "ledger_info")
        }


def seen(ledger: Ledger) -> tuple[object, ...]:
    """What people see of it, on either kind of database."""
    return (
        [(row.number, row.sold_on, row.customer, row.total) for row in ledger.sales()],
        [(row.lot, row.stage, row.sex, row.tub, row.count) for row in ledger.stock()],
        [(row.name, row.kind) for row in ledger.customers()],
    )


def test_sales_saved_together_record_what_each_alone_would(ledger: Ledger, alone: Ledger) -> None:
    prepared(ledger, alone)

    one_by_one = [alone.do(one) for one in ACTS]
    together = ledger.do_all(lines(*ACTS), content="a")

    assert [(one.sentence, one.cautions) for one in together] == [(one.sentence, one.cautions) for one in one_by_one]
    assert seen(ledger) == seen(alone)
    assert ledger.prove() == ()
    if ledger.store.dialect == "sqlite":
        assert rows(ledger) == rows(alone)


def test_the_comparison_tells_when_something_remembered_is_stale(
    sqlite_store: object, alone: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Control: nothing that was remembered is ever forgotten."""
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")  # type: ignore[arg-type]
    prepared(ledger, alone)
    one_by_one = [alone.do(one) for one in ACTS]
    monkeypatch.setattr(Later, "forget", lambda self, table: None)

    try:
        together = ledger.do_all(lines(*ACTS), content="a")
    except Exception:
        return

    assert [one.sentence for one in together] != [one.sentence for one in one_by_one] or rows(ledger) != rows(alone)


REFUSED = [
    sell("P01", 61, 4),
    sell("P02", 16, 4),
    Sell((LineOf("P01", 1, 100, "L3"),), day(4), "Tarn", paid=(Paid(900, "cash"),)),
    sell("P01", 1, -3),
]


def test_a_try_answers_what_recording_one_by_one_answers(ledger: Ledger) -> None:
    prepared(ledger)
    acts: list[object] = [*ACTS[:3], *REFUSED, *ACTS[3:], SetLotFact("P01", "purpose", "quarantine", day(12))]
    acts += [sell("P01", 1, 13, "dunmore"), sell("P01", 1, 11), sell("P03", 9, 15, stage="soft adult")]

    tried = try_all(ledger, acts, source="test")

    assert sum(isinstance(one, Refused) for one in tried) == len(REFUSED) + 2
    for act, answer in zip(acts, tried, strict=True):
        try:
            said: str = ledger.do(act).sentence
        except Refused as refused:
            said = str(refused)
        assert said == (str(answer) if isinstance(answer, Refused) else answer.sentence)


def test_the_last_of_many_sales_is_refused_where_the_animals_are_gone(ledger: Ledger) -> None:
    prepared(ledger)
    before = seen(ledger)

    with pytest.raises(BadInput, match=r"Line 7: .*P01"):
        ledger.do_all(lines(*(sell("P01", 10, 3 + n) for n in range(7))), content="a")

    assert seen(ledger) == before
    assert len(ledger.do_all(lines(*(sell("P01", 10, 3 + n) for n in range(6))), content="b")) == 6
    assert [row.number for row in ledger.sales()] == ["S-2024-0006", *(f"S-2024-000{n}" for n in range(5, 0, -1))]


def test_hundreds_of_sales_are_a_few_statements(sqlite_store: object) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")  # type: ignore[arg-type]
    prepared(ledger)
    ledger.do(AddLot("P09", "PACH", day(0), (Arrival("opening", "L3", unsexed=900),)))
    sent: list[str] = []
    listen(ledger.store._engine, "before_cursor_execute", lambda conn, cursor, statement, *_: sent.append(statement))

    ledger.do_all(lines(*(sell("P09", 1, 3 + n // 50, f"buyer {n % 90}") for n in range(800))), content="a")

    assert len(ledger.sales(limit=1000)) == 800
    assert sum("sale" in one for one in sent) < 60
    assert len(sent) < 400
    assert ledger.prove() == ()


def test_a_try_still_looks_at_later_days_once_the_writing_of_a_row_was_refused(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The 12 of day 20 hide from a look at the stock of now that of the 2 left on day 10 no 5 can be sold before."""
    prepared(ledger)
    monkeypatch.setattr("ledger.trying._TOGETHER", 4)
    rows = (
        AddLot("X1", "PACH", day(1), (Arrival("hatched", "L3", unsexed=10),)),
        Record("X1", (Move("died", 8),), day(10)),
        Record("X1", (Move("found", 10, stage="L3"),), day(20)),
        sell("X1", 5, 9),
        sell("X1", 5, 8),
    )

    answers = try_all(ledger, rows, source="bring-in")

    assert [isinstance(one, Refused) for one in answers] == [False, False, False, True, True]

"""Every act a keeper can record: undo takes it back and leaves everything as it was, or says what to do instead.

One invented loft is built once; each act gets a copy of it. What the ledger answers to its questions is compared before
the act and after its undo, and the books must prove themselves both times.
"""

from __future__ import annotations

import datetime as dt
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, select

from ledger.books import commands as b
from ledger.costs import commands as k
from ledger.errors import NotFound, Refused
from ledger.ledger import Ledger, handlers
from ledger.origin import commands as o
from ledger.origin.commands import WriteCorrectionNote
from ledger.rearing.commands import KeepOutlook
from ledger.records import tables as t
from ledger.records.commands import NoteBroughtIn, RowBroughtIn, SetSetting
from ledger.records.settings import settings
from ledger.records.store import create, open_store
from ledger.selling import commands as c
from ledger.selling.one_sale import one_sale
from ledger.stock import commands as s
from ledger.stock.catalogue import species_rows
from ledger.stock.checks import last_rounds
from ledger.stock.figures import figures, lot_facts
from ledger.stock.rebuild import differences

TODAY = dt.date(2025, 6, 2)
NOW = dt.datetime(2025, 6, 2, 10, 0)


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


BUG = (
    s.StageSpec("larva", saleable=True, planning_survival=500_000),
    s.StageSpec("pupa"),
    s.StageSpec("adult", saleable=True, hardening_days=10),
)
LOFT: tuple[object, ...] = (
    s.DescribeSpecies("BUG", "Species inventa", "bug", "beetle", BUG, "adult"),
    s.AddLot("B01", "BUG", day("2025-01-10"), (s.Arrival("hatched", "larva", unsexed=60),)),
    s.AddLot(
        "E01",
        "BUG",
        day("2025-01-02"),
        (s.Arrival("bought", "adult", males=4, females=6, value=5000),),
        origin=s.OriginStatement("WC", country="XB"),
    ),
    k.Spend(day("2025-02-01"), "feed", 900, window_to=day("2025-07-01"), unpaid=True),
    k.Spend(day("2025-02-01"), "bran", 1000, text="flake", stored=True, quantity="10", unit="kg"),
    k.Spend(day("2025-02-01"), "racks", 9000, kind="lasting", life_days=900),
    c.SetPrice("BUG", "larva", 150, day("2025-01-01")),
    c.AddCustomer("Tarn"),
    c.PlaceHold("Tarn", (c.Pick("B01", 3),), day("2025-05-30"), "2025-06-20", 300),
    c.Sell((c.LineOf("B01", 4, 600),), day("2025-05-20"), "Orsel"),
    c.Sell((c.LineOf("B01", 2, 300),), day("2025-05-21"), "Pell", "post", to_post=True),
    c.Sell((c.LineOf("B01", 2, 300),), day("2025-05-22"), "Quist", "post", to_post=True, paid=(c.Paid(None),)),
    c.PostSale("S-2025-0003", day("2025-05-23")),
    c.Sell((c.LineOf("B01", 5, 750),), day("2025-05-24"), "Rook", paid=(c.Paid(None),)),
    c.RecordClaim("S-2025-0003", 1, 1, day("2025-05-25"), evidence="a picture"),
    c.PlanFair("Spring fair", TODAY, cash_float=5000),
    c.PackForFair("Spring fair", "A", "pack of 5 unsexed", (c.Pick("B01", 5),), 2, 700),
    s.KeepBack("B01", 2, "crippled", day("2025-05-01")),
    s.SaveRound((s.Mark("B01", "looked"),), day("2025-05-28")),
    c.FlagSpecies("BUG", "protected", day("2025-01-01"), "look it up"),
)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("undo") / "loft.ledger"
    with Ledger(create(str(path), currency="EUR"), clock=lambda: NOW, by="builder") as ledger:
        for command in LOFT:
            ledger.do(command)
    return path


@pytest.fixture(scope="module")
def as_built(built: Path) -> dict[str, Any]:
    """What the loft answers before any of the acts."""
    with Ledger(open_store(str(built), read_only=True), clock=lambda: NOW) as ledger:
        return state(ledger)


@pytest.fixture
def loft(built: Path, tmp_path: Path) -> Iterator[Ledger]:
    path = tmp_path / "loft.ledger"
    shutil.copyfile(built, path)
    with Ledger(open_store(str(path)), clock=lambda: NOW, by="keeper") as ledger:
        yield ledger


def income(ledger: Ledger) -> object:
    """Both bases of the year, line by line."""
    found = ledger.income(2025)
    assert is_dataclass(found)
    return {field.name: getattr(found, field.name) for field in fields(found)}


QUESTIONS: dict[str, Callable[[Ledger], Any]] = {
    "stock": lambda ledger: [(row.lot, row.stage, row.sex, row.tub, row.count) for row in ledger.stock()],
    "ready": lambda ledger: ledger.ready(),
    "holds": lambda ledger: ledger.holds(only_open=True),
    "queue": lambda ledger: [one for one in ledger.queue() if one.state == "waiting"],
    "owed": lambda ledger: ledger.owed(),
    "sales": lambda ledger: [row for row in ledger.sales() if not row.undone],
    "costs": lambda ledger: [row for row in ledger.costs() if not row.taken_back],
    "store": lambda ledger: ledger.store_items(),
    "hours": lambda ledger: ledger.own_hours(),
    "parcels": lambda ledger: ledger.parcels(),
    "claims": lambda ledger: ledger.claims(),
    "arrived": lambda ledger: ledger.ask(one_sale, "S-2025-0003", TODAY).arrived,
    "prices": lambda ledger: ledger.prices(),
    "fairs": lambda ledger: ledger.fairs(),
    "packs": lambda ledger: ledger.fair_packs("Spring fair"),
    "cash": lambda ledger: ledger.fair_result("Spring fair").expected,
    "flags": lambda ledger: ledger.flags(),
    "methods": lambda ledger: ledger.methods(),
    "helps": lambda ledger: ledger.tax_helps(),
    "figures": lambda ledger: ledger.ask(figures, TODAY),
    "facts": lambda ledger: ledger.ask(lot_facts, TODAY),
    "rounds": lambda ledger: ledger.ask(last_rounds, TODAY),
    "settings": lambda ledger: ledger.ask(settings),
    "due": lambda ledger: ledger.due(),
    "species": lambda ledger: ledger.ask(species_rows),
    "layers": lambda ledger: sorted(
        ledger.ask(
            lambda conn: conn.execute(
                select(t.layer.c.holding_id, t.layer.c.entered_on, t.layer.c.hard, t.layer.c.count)
            ).all()
        )
    ),
    "rearing": lambda ledger: ledger.rearing(),
    "income": lambda ledger: income(ledger),
    "given": lambda ledger: ledger.given(),
}
"""What the ledger is asked; numbers of rows that only grow, and the papers of what was undone, are left out."""


def state(ledger: Ledger, *, without: str = "") -> dict[str, Any]:
    """What the ledger answers, but for one question."""
    return {name: ask(ledger) for name, ask in QUESTIONS.items() if name != without}


def leaves_a_trace(ledger: Ledger, before: dict[str, Any]) -> bool:
    """Whether any answer is another one."""
    return any(repr(ask(ledger)) != repr(before[name]) for name, ask in QUESTIONS.items())


UNDONE: tuple[object, ...] = (
    SetSetting("business name", "Quillmere"),
    SetSetting("terms", "live arrival"),
    s.SetFigure("BUG", "larva", "loss rate", 1000, day("2025-01-01")),
    s.SetLotFact("B01", "place", "shelf 3", TODAY),
    s.SetLotFact("B01", "purpose", "breeding", day("2025-02-01")),
    s.Record("B01", (s.Move("died", 2),), TODAY),
    s.Record("B01", (s.Move("next stage", 9, to_stage="pupa"),), day("2025-03-01")),
    s.SaveRound(
        (s.Mark("B01", "fed"), s.Mark("B01", "counted", count=12), s.Mark("E01", "seen hard")),
        TODAY,
        (s.Record("B01", (s.Move("died", 1),), TODAY), s.Record("E01", (s.Move("died", 1, sex="male"),), TODAY)),
    ),
    s.SaveRound((s.Mark("E01", "seen hard"),), TODAY),
    s.KeepBack("E01", 1, "old", TODAY, sex="male"),
    s.FreeKept(6, TODAY),
    k.Spend(TODAY, "wood", 333),
    k.Power("heat", "mat", 20, 5000, 29570, TODAY, TODAY),
    k.TakeOut("bran", 4000, TODAY),
    k.NoteHours(TODAY, 30),
    k.PayCost(3, TODAY, 500),
    k.CorrectCost(5, k.Spend(day("2025-02-01"), "tubs", 8000, kind="lasting", life_days=900)),
    k.EndWindow(3, TODAY, TODAY),
    k.SetMethod("brood", "expense", day("2025-01-01")),
    k.SetCare("feed", "BUG", "larva", 3000, day("2025-01-01")),
    k.SetStandardCost("BUG", "larva", 120, day("2025-01-01")),
    c.SetPrice("BUG", "larva", 175, day("2025-05-01")),
    c.SetPrice("BUG", "pupa", 175, day("2025-05-01")),
    c.PlaceHold("Orsel", (c.Pick("B01", 2),), TODAY, "2025-06-10"),
    c.PlaceHold("Orsel", (c.Pick("B01", 2),), TODAY, "2025-06-10", 250),
    c.JoinQueue("R-001", "Orsel", TODAY, 1),
    c.Sell((c.LineOf("B01", 3, 450),), TODAY, "Orsel", paid=(c.Paid(None),)),
    c.Sell((c.LineOf("B01", 3, 450),), TODAY, "Orsel", "post", to_post=True, selling_costs=(c.SellingCost("box", 90),)),
    c.TakePayment("S-2025-0001", 400, TODAY),
    c.TakePayment("S-2025-0001", 600, day("2025-05-29"), "card", fee=15),
    c.HoldParcel("S-2025-0002", "heat", TODAY),
    c.NoteArrival("S-2025-0003", day("2025-05-24"), "10:30"),
    c.RecordClaim("S-2025-0003", 1, 1, TODAY),
    c.FlagSpecies("BUG", "invasive", TODAY, "look it up"),
    c.EndFlag(1, TODAY),
    c.GiveAway((c.Pick("B01", 2),), TODAY, "gift", "Tarn"),
    c.PackForFair("Spring fair", "B", "single", (c.Pick("B01", 1),), 3, 150),
    c.Unpack("Spring fair", "A"),
    c.SellFairPack("Spring fair", "A", TODAY),
    c.SellFairPack("Spring fair", "A", TODAY, "", customer="Orsel"),
    c.SpendOnFair("Spring fair", "table", 1500, TODAY),
    c.SpendOnFair("Spring fair", "lunch", 500, TODAY, from_cash=True),
    c.SpendOnFair("Spring fair", "feed", 640, TODAY, from_cash=True),
    c.SpendFromBox(k.Spend(TODAY, "feed", 700)),
    c.PlanFair("Autumn fair", day("2025-10-01")),
    c.ChangeFair("Spring fair", cash_float=6000),
    c.CallOffFair("Spring fair"),
    c.EndFair("Spring fair", TODAY, 5000),
    c.DriveToFair("Spring fair", "84", TODAY, "0.25"),
    b.CountStock(TODAY, (b.Counted("B01", "larva", 30),)),
    b.SetTaxHelp("threshold small", 100_000, day("2025-01-01")),
)
"""Acts that undo takes back without a trace in any answer."""
HOLD = next(n for n, one in enumerate(UNDONE) if isinstance(one, c.PlaceHold) and one.deposit)

LOT_STAYS: tuple[object, ...] = (
    s.AddLot("B02", "BUG", TODAY, (s.Arrival("bought", "larva", unsexed=5, value=700),), place="shelf 4"),
    s.SplitLot("B01", "B01.2", (s.Part(5),), TODAY),
    c.Swap(
        (c.Pick("B01", 2),), s.AddLot("B03", "BUG", TODAY, (s.Arrival("swapped in", "larva", unsexed=2, value=300),)),
        300, TODAY, "Tarn",
    ),
)  # fmt: skip
"""Undone, but the lot they made stays in the books, without animals."""

REFUSED: tuple[tuple[object, str], ...] = (
    (s.Reverse(7), "not taken back in turn; enter it again"),
    (k.ReverseCost(3), "enter the cost again"),
    (k.RefundCost(3, TODAY, 100), "take the cost back and enter it again"),
    (k.Dispose(5, TODAY), "take the cost back and enter it again"),
    (c.AddCustomer("Velo"), "change the entry, or erase it"),
    (c.ChangeCustomer("Rook", contact="by letter"), "change it again instead"),
    (c.EraseCustomer("Rook", TODAY), ""),
    (c.ReleaseHold("R-001", TODAY, "refunded"), "make the hold again"),
    (c.PostSale("S-2025-0002", TODAY), "has left the house"),
    (c.CreditSale("S-2025-0004", TODAY, "wrong"), "sell the animals again instead"),
    (c.DecideClaim(1, "declined", TODAY), "told to the buyer"),
    (c.LendOut("E01", "Tarn", TODAY), "record them as back instead"),
    (s.DescribeSpecies("COO", "Species altera", "coo", "beetle", BUG, "adult"), "each of its figures can be set anew"),
    (s.AddSpecies("PACH", "pachnoda-marginata"), "each of its figures can be set anew"),
    (o.StateOrigin("B01", s.OriginStatement("CB", 2), TODAY), "say what is right"),
    (o.LowerOrigin("E01", "UNK", "not sure", TODAY), "say what is right"),
    (o.RaiseOrigin("B01", "CB", "a letter", TODAY, 2), "say what is right"),
    (o.Expose("E01", "E01", day("2025-01-03")), "say that they were parted"),
    (o.NameParents("B01", ("E01",)), "name the right ones"),
    (o.SayVirgin("E01", "no", TODAY), "say what is right"),
    (b.CloseYear(2024, TODAY), "stays closed"),
)
"""Acts that undo does not take back, and what its refusal says."""

AFTER_ANOTHER = {
    "HatchOut": "Record",
    "Correct": "Reverse",
    "MergeLots": "SplitLot",
    "PutBack": "Reverse",
    "DropHours": "Reverse",
    "LetParcelGo": "HoldParcel",
    "LeaveQueue": "ReleaseHold",
    "OfferNext": "ReleaseHold",
    "DecideDeposit": "ReleaseHold",
    "ReplaceShort": "PostSale",
    "LoanBack": "LendOut",
    "EndExposure": "Expose",
    "ExplainCount": "StateOrigin",
    "PackAgain": "PackForFair",
    "TellOfSale": "WriteCorrectionNote",
    "WriteCorrectionNote": "CreditSale",
    "TakeBackFile": "Reverse",
    "NoteBroughtIn": "TakeBackFile",
}
"""Kinds without a case of their own here, and the kind whose way they go."""
PASSED_OVER = {"Undo", "KeepOutlook"}


def _name(command: object) -> str:
    return type(command).__name__


def test_every_act_a_ledger_knows_is_here() -> None:
    told = {_name(one) for one in (*UNDONE, *LOT_STAYS)} | {_name(one) for one, _ in REFUSED}

    assert {kind.__name__ for kind in handlers()} == told | set(AFTER_ANOTHER) | PASSED_OVER
    assert not told & set(AFTER_ANOTHER)
    assert {KeepOutlook, WriteCorrectionNote} <= set(handlers())


@pytest.mark.parametrize("command", UNDONE, ids=_name)
def test_undo_leaves_everything_as_it_was(loft: Ledger, as_built: dict[str, Any], command: object) -> None:
    before = as_built
    loft.do(command)
    assert leaves_a_trace(loft, before), "the act leaves a trace that this test sees"

    done = loft.do(s.Undo())

    for name, answer in state(loft, without="income").items():
        assert _without_numbers(answer) == _without_numbers(before[name]), name
    assert done.sentence
    assert loft.ask(differences) == []
    # What is kept back, or counts again, has another number now.
    if not isinstance(command, s.FreeKept | k.CorrectCost):
        loft.do(command)
        assert leaves_a_trace(loft, before), "what was undone can be done again"


def test_every_act_done_and_undone_in_turn_leaves_the_income_of_the_year_and_the_books_as_they_were(
    loft: Ledger, as_built: dict[str, Any]
) -> None:
    for command in UNDONE:
        loft.do(command)
        loft.do(s.Undo())

    after = state(loft)
    for name, answer in as_built.items():
        assert _without_numbers(after[name]) == _without_numbers(answer), name
    assert loft.prove() == ()
    assert loft.ask(differences) == []


@pytest.mark.parametrize("command", LOT_STAYS, ids=_name)
def test_undo_of_what_made_a_lot_takes_its_animals_back_and_says_that_the_lot_stays(
    loft: Ledger, command: object
) -> None:
    before = state(loft)
    loft.do(command)

    done = loft.do(s.Undo())

    after = state(loft)
    for name in ("stock", "owed", "sales", "costs", "income", "due"):
        assert _without_numbers(after[name]) == _without_numbers(before[name]), name
    assert "Swap" in _name(command) or any("stays in the books" in caution for caution in done.cautions)
    assert loft.prove() == ()
    assert loft.ask(differences) == []


@pytest.mark.parametrize(("command", "instead"), REFUSED, ids=lambda value: _name(value))
def test_what_cannot_be_undone_is_said_with_what_to_do_instead_and_nothing_older_is_touched(
    loft: Ledger, command: object, instead: str
) -> None:
    loft.do(s.Record("E01", (s.Move("died", 1, sex="female"),), TODAY))
    loft.do(command)
    before = state(loft, without="income")

    with pytest.raises(Refused) as refused:
        loft.do(s.Undo())

    assert refused.value.sentence.startswith("Not undone: your last act was “")
    assert instead in refused.value.sentence
    assert state(loft, without="income") == before


def _without_numbers(answer: Any) -> str:
    """As text, without the numbers of rows."""
    return re.sub(r"\b(id|earmark_id|earmark|pack|recorded_at)=\d+", r"\1", repr(answer))


# --- several, twice, and money ----------------------------------------------------------------------------------------


def test_a_payment_is_taken_back_once_however_often_the_key_is_pressed(loft: Ledger) -> None:
    loft.do(c.TakePayment("S-2025-0001", 400, TODAY))
    loft.do(s.Undo())
    with pytest.raises(Refused, match="nothing of yours"):
        loft.do(s.Undo())

    (owed,) = [row for row in loft.owed() if row.number == "S-2025-0001"]
    assert owed.owed == 600
    loft.do(c.TakePayment("S-2025-0001", 600, TODAY))
    assert not [row for row in loft.owed() if row.number == "S-2025-0001"]
    assert loft.prove() == ()


def test_the_check_of_this_file_sees_a_payment_that_counts_twice(loft: Ledger) -> None:
    """The control: the same payment entered again where it should have been taken back."""
    before = state(loft)
    loft.do(c.TakePayment("S-2025-0001", 200, TODAY))
    loft.do(c.TakePayment("S-2025-0001", 200, TODAY))

    loft.do(s.Undo())

    assert _without_numbers(state(loft)["owed"]) != _without_numbers(before["owed"])
    assert _without_numbers(state(loft)["income"]) != _without_numbers(before["income"])


def test_money_given_back_since_keeps_the_payment_it_came_from(loft: Ledger) -> None:
    loft.do(c.TakePayment("S-2025-0001", 600, TODAY))
    other = Ledger(loft.store, clock=lambda: NOW, by="oda")
    other.do(c.CreditSale("S-2025-0001", TODAY, "wrong animals"))

    with pytest.raises(Refused, match="more would have been given back than came in"):
        loft.do(s.Undo())


def test_a_payment_of_a_closed_year_is_taken_back_in_the_open_one_and_the_closed_year_stands(loft: Ledger) -> None:
    loft.do(c.TakePayment("S-2025-0001", 400, TODAY))
    later = Ledger(loft.store, clock=lambda: dt.datetime(2026, 2, 3, 9), by="keeper")
    Ledger(loft.store, clock=lambda: dt.datetime(2026, 2, 1, 9), by="oda").do(b.CloseYear(2025, day("2026-02-01")))
    closed = later.income(2025)

    done = later.do(s.Undo())

    assert later.income(2025) == closed
    assert any("a closed year stays as it is" in caution for caution in done.cautions)
    last = loft.ask(lambda conn: conn.execute(select(t.payment).order_by(t.payment.c.id.desc()).limit(1)).one())
    assert (last.amount, last.paid_on, last.accounting_on) == (-400, TODAY, day("2026-01-01"))
    assert later.prove() == ()


@pytest.mark.parametrize(
    "command",
    [
        s.SetFigure("BUG", "larva", "care weight", 3000, day("2025-01-01")),
        k.SetMethod("brood", "expense", day("2025-01-01")),
        k.EndWindow(3, TODAY, TODAY),
    ],
    ids=_name,
)
def test_a_figure_that_a_closed_year_used_is_not_undone(loft: Ledger, command: object) -> None:
    loft.do(command)
    Ledger(loft.store, clock=lambda: dt.datetime(2026, 2, 1, 9), by="oda").do(b.CloseYear(2025, day("2026-02-01")))

    with pytest.raises(Refused, match="keeps its figures; set it anew"):
        loft.do(s.Undo())


def test_many_lines_at_once_are_taken_back_at_once(loft: Ledger) -> None:
    before = state(loft)
    lines: tuple[object, ...] = (
        s.Record("B01", (s.Move("died", 1),), TODAY),
        k.Spend(TODAY, "wood", 333),
        s.SaveRound((s.Mark("B01", "fed"),), TODAY),
        c.Sell((c.LineOf("B01", 3, 450),), TODAY, "Orsel", paid=(c.Paid(None),)),
        c.PlaceHold("Orsel", (c.Pick("B01", 2),), TODAY, "2025-06-10", 250),
        c.TakePayment("S-2025-0001", 100, TODAY),
        c.SetPrice("BUG", "larva", 199, TODAY),
    )
    made: list[tuple[str, Callable[[Any], object]]] = [(str(n), lambda _, one=one: one) for n, one in enumerate(lines)]
    loft.do_all(made, content="lines")

    done = loft.do(s.Undo())

    after = state(loft)
    for name, answer in before.items():
        assert _without_numbers(after[name]) == _without_numbers(answer), name
    assert "1 mark, 1 price" in done.sentence
    assert "1 larva died" in done.sentence
    assert loft.prove() == ()


def test_a_file_brought_in_is_taken_back_as_a_file(loft: Ledger) -> None:
    rows = (RowBroughtIn("prices, row 2", "mark"),)
    acts = (c.SetPrice("BUG", "larva", 199, TODAY), NoteBroughtIn("prices", "list.csv", "0" * 64, rows, "h", "{}"))
    loft.do_all([(str(n), lambda _, one=one: one) for n, one in enumerate(acts)], content="file")

    done = loft.do(s.Undo())

    assert done.sentence == "File 1 taken back: 1 row of prices from list.csv."
    assert [row.amount for row in loft.prices()] == [150]
    with pytest.raises(NotFound, match="nothing of yours"):
        loft.do(s.Undo())


def test_one_line_that_cannot_be_taken_back_keeps_them_all(loft: Ledger) -> None:
    lines: tuple[object, ...] = (
        s.Record("B01", (s.Move("died", 1),), TODAY),
        c.ReleaseHold("R-001", TODAY, "kept"),
    )
    made: list[tuple[str, Callable[[Any], object]]] = [(str(n), lambda _, one=one: one) for n, one in enumerate(lines)]
    loft.do_all(made, content="lines")
    before = state(loft)

    with pytest.raises(Refused, match="2 lines were recorded”; its animals may be promised elsewhere"):
        loft.do(s.Undo())

    assert state(loft) == before


def test_each_undo_goes_one_act_further_back_whatever_the_acts_were(loft: Ledger) -> None:
    before = state(loft)
    acts = (UNDONE[0], UNDONE[5], UNDONE[20], UNDONE[HOLD], UNDONE[27], UNDONE[37])
    for act in acts:
        loft.do(act)

    for _ in acts:
        loft.do(s.Undo())

    assert {name: _without_numbers(one) for name, one in state(loft).items()} == {
        name: _without_numbers(one) for name, one in before.items()
    }
    undone = loft.ask(lambda conn: conn.execute(select(func.count()).select_from(t.undone)).scalar_one())
    assert undone == len(acts)


def test_a_hold_undone_gives_its_deposit_back_nowhere_and_its_buyer_owes_nothing(loft: Ledger) -> None:
    loft.do(UNDONE[HOLD])
    assert sum(row.owed for row in loft.owed() if row.number == "R-002") != 0

    loft.do(s.Undo())

    assert not [row for row in loft.owed() if row.number == "R-002"]
    (hold,) = [one for one in loft.holds() if one.number == "R-002"]
    assert (hold.state, hold.deposit_state) == ("released", "none")


def test_what_was_seen_hard_by_mistake_is_soft_again(loft: Ledger) -> None:
    loft.do(s.Record("B01", (s.Move("next stage", 4, to_stage="adult"),), day("2025-06-01")))
    loft.do(s.SaveRound((s.Mark("B01", "seen hard", stage="adult"),), TODAY))
    assert sum(row.ready for row in loft.ready() if (row.lot, row.stage) == ("B01", "adult")) == 4

    loft.do(s.Undo())

    assert sum(row.ready for row in loft.ready() if (row.lot, row.stage) == ("B01", "adult")) == 0


def test_a_claim_that_was_decided_elsewhere_since_is_not_undone(loft: Ledger) -> None:
    claim = loft.do(c.RecordClaim("S-2025-0003", 1, 1, TODAY), source="screen")
    loft.do(c.DecideClaim(int(claim.refs["claim"]), "declined", TODAY), source="command")

    with pytest.raises(Refused, match="the claim has been decided"):
        loft.do(s.Undo(), source="screen")

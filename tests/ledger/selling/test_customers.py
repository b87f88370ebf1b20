"""Customers: found while their name is typed, their history, and erased from the rows and from the file."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import select, update
from sqlalchemy.exc import DBAPIError

from ledger.act import Done
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.records.operations import perform
from ledger.records.store import Store
from ledger.selling.commands import (
    AddCustomer,
    ChangeCustomer,
    Charge,
    CreditLine,
    CreditSale,
    DecideClaim,
    EndFair,
    EraseCustomer,
    FlagSpecies,
    GiveAway,
    JoinQueue,
    LeaveQueue,
    LendOut,
    LineOf,
    LoanBack,
    Paid,
    Pick,
    PlaceHold,
    PlanFair,
    RecordClaim,
    ReleaseHold,
    Sell,
    SetPrice,
    TakePayment,
)
from ledger.selling.customer_list import customer_sums
from ledger.selling.customers import customer_named, find_customer, find_customers
from ledger.selling.history import history
from ledger.stock.commands import AddLot, Arrival, Mark, OriginStatement, SaveRound
from tests.ledger.selling.shop import Shop, day

NAME = "Zebulonia Quastermain"


def sold(shop: Shop, name: str = NAME) -> str:
    done = shop.do(Sell((LineOf("P08", 2, 500),), shop.today, name, paid=(Paid(None),)))
    return str(done.refs["number"])


def test_customers_are_found_while_their_name_is_typed(both: Shop) -> None:
    for name in ("Tarn", "Artur Tarnow", "Ölaf Straße", "Oda"):
        both.do(AddCustomer(name))

    def found(typed: str) -> list[str]:
        return [row.name for row in both.ask(find_customers, typed)]

    assert found("tar") == ["Tarn", "Artur Tarnow"]
    assert found("öL") == ["Ölaf Straße"]
    assert found("STRASSE") == ["Ölaf Straße"]
    assert found("") == ["Artur Tarnow", "Oda", "Tarn", "Ölaf Straße"]
    assert found("%") == []


def test_the_history_of_a_customer_has_everything_on_record(both: Shop) -> None:
    both.do(AddCustomer("Tarn", "tarn at the mill", "trade", "likes males"))
    number = sold(both, "Tarn")
    both.do(Sell((LineOf("P08", 1, 300),), both.today, "tarn"))
    both.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), both.today, "48h", deposit=100))
    both.do(PlaceHold("Oda", (Pick("E03", 1, sex="female"),), both.today, "48h"))
    both.do(JoinQueue("R-002", "Tarn", both.today))
    both.do(RecordClaim(number, 1, 1, both.today))

    found = both.ask(history, "TARN", both.scene.now)

    assert (found.customer.kind, found.customer.note) == ("trade", "likes males")
    assert [sale.number for sale in found.sales] == ["S-2025-0001", "S-2025-0002"]
    assert (found.bought, found.owed, found.last_on) == (800, 300, both.today)
    assert [hold.number for hold in found.holds] == ["R-001"]
    assert [row.hold for row in found.queue] == ["R-002"]
    assert [row.dead for row in found.claims] == [1]


def test_a_name_that_is_not_there_names_those_it_may_mean(shop: Shop) -> None:
    shop.do(AddCustomer("Artur Tarnow"))

    with pytest.raises(NotFound, match="did you mean Artur Tarnow"):
        shop.ask(find_customer, "tarno")


# --- erased ---------------------------------------------------------------------------------------------------------


def test_it_says_before_what_may_have_to_be_kept_and_after_what_was_not_reached(both: Shop) -> None:
    both.do(FlagSpecies("BEET", "protected", day("2025-01-01")))
    sold(both)

    before = both.preview(EraseCustomer(NAME, both.today))
    after = both.do(EraseCustomer(NAME, both.today))

    assert before.sentence == (
        f"{NAME}: name, contact and remarks erased for good; 1 sale and their origins stay, without a name. "
        "This cannot be undone."
    )
    assert "registers of animals sold, and on permits may ask you to keep who bought" in before.cautions[0]
    assert "BEET (protected)" in before.cautions[1]
    assert "backups, archives, files, papers" in after.cautions[0]
    assert NAME not in after.sentence


def test_the_sale_and_its_origin_stay_without_a_name(both: Shop) -> None:
    both.do(AddCustomer(NAME, "by the mill"))
    number = sold(both)
    before = both.sale(number)

    both.do(EraseCustomer(NAME.upper(), both.today))

    after = both.sale(number)
    assert (before.customer_name, after.customer_name) == (NAME, "")
    assert after.lines == before.lines
    assert (after.total, after.paid) == (before.total, before.paid)
    [row] = both.rows("customer")
    assert (row.name, row.contact, row.note, row.erased_on) == (f"erased buyer {row.id}", "", "", both.today)
    assert both.ask(customer_named, NAME) is None
    assert both.ask(find_customers, "erased") == ()
    both.refused(EraseCustomer(NAME, both.today), NotFound)
    assert both.proof() == []


def test_a_name_in_remarks_cannot_be_reached_and_that_is_said(both: Shop) -> None:
    both.do(Sell((LineOf("P08", 1, 500),), both.today, NAME, paid=(Paid(None),), note=f"met {NAME} at the mill"))

    done = both.do(EraseCustomer(NAME, both.today))

    assert done.cautions[-1] == "Not reached, as they cannot be changed: remarks of sales that hold the same name."


def test_a_name_at_a_fair_in_a_mark_or_in_what_was_stated_is_said_too(both: Shop) -> None:
    both.do(AddCustomer(NAME))
    stated = OriginStatement("CF", locality=f"farm of {NAME}")
    both.do(AddLot("N01", "BEET", both.today, (Arrival("bought", "L3", unsexed=4, value=400),), origin=stated))
    both.do(GiveAway((Pick("N01", 1),), both.today, "gift", "Orsel"))
    both.do(PlanFair("Fenlow", both.today))
    both.do(EndFair("Fenlow", both.today, 500, put_in=500, why=f"lent by {NAME}"))
    both.do(SaveRound((Mark("P08", "looked", note=f"with {NAME}"),), on=both.today))

    done = both.do(EraseCustomer(NAME, both.today))

    assert "remarks of entries" in done.cautions[-1]
    assert "remarks of fairs" in done.cautions[-1]


def test_what_is_open_is_settled_first(both: Shop) -> None:
    erase = EraseCustomer(NAME, both.today)
    both.do(PlaceHold(NAME, (Pick("E03", 1, sex="male"),), both.today, "48h", deposit=100))
    assert "R-001" in str(both.refused(erase, Refused))
    both.do(ReleaseHold("R-001", both.today, "refunded"))
    both.do(Sell((LineOf("P08", 1, 500),), both.today, NAME))
    assert "still owed on S-2025-0001" in str(both.refused(erase, Refused))
    both.do(TakePayment("S-2025-0001", 500, both.today))
    both.do(LendOut("E03", NAME, both.today))
    assert "on loan" in str(both.refused(erase, Refused))
    both.do(LoanBack("E03", both.today))
    both.refused(EraseCustomer(NAME, day("2025-06-01")), BadInput)
    both.do(PlaceHold("Oda", (Pick("E03", 1, sex="male"),), both.today, "48h"))
    place = int(both.do(JoinQueue("R-002", NAME, both.today)).refs["place"])
    assert "waits in the queue of R-002" in str(both.refused(erase, Refused))
    both.do(LeaveQueue(place, both.today))
    claim = int(both.do(RecordClaim("S-2025-0001", 1, 1, both.today)).refs["claim"])
    assert "A claim on S-2025-0001" in str(both.refused(erase, Refused))
    both.do(DecideClaim(claim, "declined", both.today))

    both.do(erase)


def test_a_repeated_act_that_named_the_erased_is_still_counted_once(both: Shop) -> None:
    def once() -> Done:
        return perform(
            both.store,
            token="one form",
            kind="Sell",
            digest="x",
            source="screen",
            by="wren",
            work=lambda _conn, _number: Done(f"sold to {NAME}", {"sale": 1}),
        )

    both.do(AddCustomer(NAME))
    once()
    both.do(EraseCustomer(NAME, both.today))

    again = once()

    assert again.sentence.startswith("This was recorded before")
    assert len([row for row in both.rows("operation") if row.token == "one form"]) == 1


@pytest.mark.parametrize(
    "change",
    [
        update(t.sale).values(customer_name="somebody else"),
        update(t.sale).values(customer_name="", note="changed"),
        update(t.sale).values(customer_name="", channel="trade"),
        update(t.outcome).values(answer="{}"),
        update(t.outcome).values(answer="", operation_id=t.outcome.c.operation_id + 1),
        update(t.sale_line).values(origin_text=""),
    ],
)
def test_the_database_lets_a_buyers_name_be_made_empty_and_nothing_else(both: Shop, change) -> None:  # type: ignore[no-untyped-def]
    sold(both)

    with pytest.raises(DBAPIError), both.store.writing() as conn:
        conn.execute(change)
    with both.store.writing() as conn:
        assert conn.execute(update(t.sale).values(customer_name="")).rowcount == 1


def people(store: Store, number: int) -> Shop:
    """A shop with so many buyers of one sale each."""
    from tests.ledger.selling.shop import stocked

    shop = stocked(Shop(store))
    for place in range(number):
        shop.do(AddCustomer(f"{NAME} {place:02}", f"{place:02} Quastermain Lane", note="Quastermain's remarks"))
        shop.do(Sell((LineOf("P08", 1, 50),), shop.today, f"{NAME} {place:02}", paid=(Paid(None),)))
    return shop


def named(path: str) -> int:
    """How often the family name stands in the bytes of a ledger's file."""
    return Path(path).read_bytes().count(b"Quastermain")


def test_an_erased_name_is_nowhere_in_the_file(sqlite_store: Store) -> None:
    shop = people(sqlite_store, 12)
    assert named(sqlite_store.target) >= 12

    for place in range(12):
        shop.do(EraseCustomer(f"{NAME} {place:02}", shop.today))

    assert named(sqlite_store.target) == 0
    for beside in Path(sqlite_store.target).parent.glob("*"):
        assert beside.is_dir() or b"Quastermain" not in beside.read_bytes()


def test_without_secure_delete_erased_names_stay_in_the_file(sqlite_store: Store, tmp_path: Path) -> None:
    """Control: the file is clean because what is freed is overwritten, and not by chance."""
    people(sqlite_store, 12)
    copy = tmp_path / "copy.ledger"
    shutil.copyfile(sqlite_store.target, copy)
    raw = sqlite3.connect(copy)
    assert raw.execute("PRAGMA secure_delete=0").fetchone() == (0,)
    raw.execute("UPDATE customer SET name = 'erased buyer', contact = '', note = ''")
    raw.execute("UPDATE sale SET customer_name = ''")
    raw.execute("UPDATE outcome SET answer = ''")
    raw.commit()
    raw.close()

    assert named(str(copy)) > 0


def test_the_rows_hold_no_name_on_either_database(both: Shop) -> None:
    sold(both)
    both.do(EraseCustomer(NAME, both.today))

    found = [(table, row) for table, rows in both.everything().items() for row in rows if NAME in repr(row)]

    assert found == []
    with both.store.reading() as conn:
        assert conn.execute(select(t.sale.c.customer_id)).scalar_one() is not None


# --- changed, and listed --------------------------------------------------------------------------------------------


def test_what_is_known_of_a_customer_is_changed_and_what_was_not_named_stays(both: Shop) -> None:
    both.do(AddCustomer("Tarn", "at the mill", note="likes males"))

    done = both.do(ChangeCustomer("tarn", kind="trade", contact="4 Mill Lane\nFenlow"))

    assert done.sentence == "Tarn: contact set and trade prices from now on."
    assert "Mill" not in done.sentence
    [row] = both.ask(find_customers, "tarn")
    assert (row.contact, row.kind, row.note) == ("4 Mill Lane\nFenlow", "trade", "likes males")


def test_a_change_that_is_none_or_of_nobody_is_refused(shop: Shop) -> None:
    shop.do(AddCustomer("Tarn", "at the mill"))

    assert "Nothing of Tarn would change" in str(shop.refused(ChangeCustomer("Tarn", "at the mill"), BadInput))
    shop.refused(ChangeCustomer("Tarn", kind="friend"), BadInput)
    shop.refused(ChangeCustomer("Tar"), NotFound)


def test_the_list_of_customers_has_the_sums_their_histories_have(both: Shop) -> None:
    both.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), both.today, "48h", deposit=100))
    both.do(SetPrice("BEET", "adult", 500, both.today))
    both.do(Sell((), both.today, hold="R-001", paid=(Paid(150),)))
    number = sold(both, "Tarn")
    both.do(Sell((LineOf("P08", 1, 300),), both.today, "Tarn", "post", (Charge("postage", 650),), to_post=True))
    both.do(CreditSale(number, both.today, "one was small", (CreditLine(1, 100),), refund=False))
    both.do(AddCustomer("Oda"))

    listed = {one.name: one for one in both.ask(customer_sums)}

    assert set(listed) == {"Tarn", "Oda"}
    for name, one in listed.items():
        told = both.ask(history, name, both.scene.now)
        assert (one.bought, one.owed, one.sales, one.last_on) == (
            told.bought,
            told.owed,
            len(told.sales),
            told.last_on,
        )
    assert (listed["Tarn"].bought, listed["Tarn"].owed) == (1850, 1100)

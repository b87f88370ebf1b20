"""Several tills at once, each with a ledger of its own: nothing is sold twice, no number is missing or doubled."""

from __future__ import annotations

import threading

import pytest
from sqlalchemy import Connection, insert

from ledger.act import Act
from ledger.errors import NotEnough, Refused
from ledger.records.store import Store, open_store
from ledger.records.tables import operation
from ledger.selling.commands import (
    CreditSale,
    DecideClaim,
    JoinQueue,
    LineOf,
    NoteArrival,
    OfferNext,
    PackOf,
    Pick,
    PlaceHold,
    PostSale,
    RecordClaim,
    ReleaseHold,
    Sell,
    SetPrice,
    TakePayment,
)
from ledger.stock.commands import AddLot, Arrival
from tests.ledger.selling.shop import HANDLERS, Shop, day, stocked

Answers = list[str]


def till(shop: Shop, commands: list[object], start: threading.Barrier, answers: Answers) -> None:
    """Say commands to the ledger, opened anew, as soon as all are ready; answer a number or a refusal for each."""
    store = open_store(shop.store.target)
    mine = Shop(store, shop.today)
    start.wait(timeout=60)
    for command in commands:
        try:
            answers.append(str(mine.do(command).refs.get("number", "done")))
        except Refused as refusal:
            answers.append(f"refused: {refusal}")
        except BaseException as error:
            answers.append(f"broken: {error!r}")
            raise
    store.close()


def at_once(shop: Shop, *tills: list[object]) -> list[Answers]:
    """What each till was answered, one after the other."""
    start = threading.Barrier(len(tills))
    said: list[Answers] = [[] for _ in tills]
    workers = [
        threading.Thread(target=till, args=(shop, commands, start, answers))
        for commands, answers in zip(tills, said, strict=True)
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(timeout=120)
    return said


@pytest.fixture
def market(both: Shop) -> Shop:
    """One pair left: G07, a male and a female."""
    both.do(AddLot("G07", "BEET", day("2025-01-10"), (Arrival("bought", "adult", males=1, females=1),)))
    return both


PAIR = (LineOf("G07", 1, 5000, sex="male"), LineOf("G07", 1, 6000, sex="female"))


def test_two_tills_sell_the_last_pair_once_and_the_other_is_told_so(market: Shop) -> None:
    said = at_once(
        market,
        [Sell(PAIR, market.today, "Tarn")],
        [Sell(tuple(reversed(PAIR)), market.today, "Fennick")],
    )

    answers = sorted(answer for one in said for answer in one)
    assert answers[0] == "S-2025-0001"
    assert answers[1].startswith("refused: G07 has no ")
    assert market.alive("G07") == 0
    assert len(market.rows("sale")) == 1
    assert market.proof() == []


def test_a_hold_and_a_sale_of_the_last_pair_at_once_give_it_to_one_of_them(market: Shop) -> None:
    hold = PlaceHold("Tarn", (Pick("G07", 1, sex="male"), Pick("G07", 1, sex="female")), market.today, "2025-06-06")
    said = at_once(market, [hold], [Sell(PAIR, market.today, "Fennick")])

    answers = sorted(answer for one in said for answer in one)
    assert sum(answer.startswith("refused: ") for answer in answers) == 1
    assert len(market.rows("hold")) + len(market.rows("sale")) == 1
    assert market.proof() == []


def test_two_tills_take_one_hold_up_once(market: Shop) -> None:
    market.do(SetPrice("BEET", "adult", 5500, day("2025-01-01")))
    market.do(PlaceHold("Tarn", (Pick("G07", 1, sex="male"),), market.today, "2025-06-06", deposit=1000))

    said = at_once(market, *[[Sell((), market.today, hold="R-001")] for _ in range(2)])

    answers = sorted(answer for one in said for answer in one)
    assert answers[0] == "S-2025-0001"
    assert answers[1].startswith("refused: R-001 for Tarn was taken up")
    assert market.proof() == []


def test_two_tills_post_credit_and_pay_one_sale_once(market: Shop) -> None:
    market.do(Sell((LineOf("P08", 4, 4000),), market.today, "Tarn", "post", to_post=True))
    market.do(Sell((LineOf("P08", 4, 4000),), market.today, "Tarn"))

    same: list[object] = [
        PostSale("S-2025-0001", market.today),
        TakePayment("S-2025-0001", 4000, market.today),
        CreditSale("S-2025-0002", market.today, "entered by mistake"),
    ]
    said = at_once(market, same, same)

    for first, second in zip(*said, strict=True):
        assert sorted(answer.startswith("refused: ") for answer in (first, second)) == [False, True]
    assert market.sale("S-2025-0001").owed == 0
    assert market.alive("P08") == 10
    assert market.proof() == []


def test_tills_that_sell_out_a_lot_number_their_sales_without_a_gap(market: Shop) -> None:
    market.do(AddLot("N01", "BEET", day("2025-05-01"), (Arrival("hatched", "L3", unsexed=20),)))
    commands: list[object] = [Sell((LineOf("N01", 1, 100),), market.today) for _ in range(12)]

    said = at_once(market, *[commands for _ in range(3)])

    answers = [answer for one in said for answer in one]
    sold = sorted(answer for answer in answers if not answer.startswith("refused: "))
    assert sold == [f"S-2025-{number:04d}" for number in range(1, 21)]
    assert len(answers) - len(sold) == 16
    assert market.alive("N01") == 0
    assert market.proof() == []


def test_many_tills_sweep_one_lapsed_hold_once(market: Shop) -> None:
    market.do(PlaceHold("Tarn", (Pick("P08", 5),), market.today, "2025-06-02T10:30"))
    market.today = day("2025-06-03")
    commands: list[object] = [Sell((LineOf("P08", 2, 100),), day("2025-06-02"))]

    said = at_once(market, *[commands for _ in range(3)])

    assert all(answer.startswith("S-2025-") for one in said for answer in one)
    assert [row.fate for row in market.rows("hold_fate")] == ["lapsed"]
    assert market.proof() == []


def test_two_tills_sell_the_last_pair_as_a_pack_once_and_the_other_is_told_so(market: Shop) -> None:
    pair = PackOf("pair 1.1", (Pick("G07", 1, sex="male"), Pick("G07", 1, sex="female")), 11000)
    said = at_once(market, *[[Sell((), market.today, who, packs=(pair,))] for who in ("Tarn", "Fennick")])

    answers = sorted(answer for one in said for answer in one)
    assert answers[0] == "S-2025-0001"
    assert answers[1].startswith("refused: G07 has no ")
    assert market.alive("G07") == 0
    assert market.proof() == []


def test_two_tills_decide_a_claim_note_an_arrival_and_offer_a_place_once(market: Shop) -> None:
    market.do(Sell((LineOf("P08", 4, 4000),), market.today, "Tarn", "post", to_post=True))
    market.do(PostSale("S-2025-0001", market.today))
    claim = int(market.do(RecordClaim("S-2025-0001", 1, 2, market.today)).refs["claim"])
    market.do(PlaceHold("Tarn", (Pick("P08", 1),), market.today, "2h"))
    market.do(JoinQueue("R-001", "Oda", market.today))
    market.do(ReleaseHold("R-001", market.today))

    same: list[object] = [
        NoteArrival("S-2025-0001", market.today),
        DecideClaim(claim, "refund", market.today),
        OfferNext("R-001", market.today, "4h"),
    ]
    said = at_once(market, same, same)

    for first, second in zip(*said, strict=True):
        assert sorted(answer.startswith("refused: ") for answer in (first, second)) == [False, True]
    assert len(market.rows("hold")) == 2
    assert market.sale("S-2025-0001").credited == 2000
    assert market.proof() == []


def test_what_was_there_when_it_was_planned_is_looked_at_again_when_it_is_written(pg_store: Store) -> None:
    """Both tills plan first, and both plans are good; then one writes, and then the other."""
    first, second = stocked(Shop(pg_store)), Shop(open_store(pg_store.target))
    sale, promise = Sell((LineOf("E03", 3, 6000, sex="male"),), first.today), ("E03", 2, "male")
    hold = PlaceHold("Tarn", (Pick(promise[0], promise[1], sex=promise[2]),), first.today, "2025-06-06T18:00")

    with second.store.writing() as conn:
        late = HANDLERS[Sell].plan(conn, sale, second.scene)
        first.do(hold)
        with pytest.raises(NotEnough) as refusal:
            HANDLERS[Sell].commit(conn, late, Act(operation_of(second, conn), second.scene))

    assert "2 of the 3 are held for Tarn until Friday 6 June, 18:00" in str(refusal.value)
    assert first.rows("sale") == []
    assert first.proof() == []
    second.store.close()


def operation_of(shop: Shop, conn: Connection) -> int:
    """An act of recording inside a transaction."""
    row = {"token": "late", "kind": "Sell", "digest": "", "recorded_at": shop.scene.now}
    made = insert(operation).values(**row, recorded_by="oda", source="screen").returning(operation.c.id)
    return int(conn.execute(made).scalar_one())

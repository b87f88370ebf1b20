"""The tubs of a round: in shelf order, each with when it was last seen and when it is next due."""

from __future__ import annotations

import datetime as dt

from ledger.ledger import Ledger
from ledger.stock.commands import (
    AddLot,
    Arrival,
    DescribeSpecies,
    Mark,
    Move,
    Record,
    SaveRound,
    SetLotFact,
    StageSpec,
)

TODAY = dt.date(2025, 6, 2)
STAGES = (
    StageSpec("ootheca", unit="object"),
    StageSpec("larva"),
    StageSpec("pupa", do_not_post=True),
    StageSpec("adult"),
)


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def test_tubs_stand_in_the_order_of_the_shelves_with_what_is_next(ledger: Ledger) -> None:
    ledger.do(DescribeSpecies("BUG", "Species inventa", "bug", "beetle", STAGES, "adult"))
    came = day("2025-05-20")
    ledger.do(AddLot("B02", "BUG", came, (Arrival("hatched", "larva", unsexed=4),), place="shelf 2"))
    ledger.do(AddLot("B01", "BUG", came, (Arrival("hatched", "larva", unsexed=9),), place="shelf 1"))
    ledger.do(AddLot("B03", "BUG", came, (Arrival("laid", "ootheca", unsexed=2),)))
    ledger.do(AddLot("B04", "BUG", came, (Arrival("hatched", "larva", unsexed=1),)))
    ledger.do(Record("B01", (Move("tub moved", 2, to_tub="10"),), came))
    ledger.do(Record("B01", (Move("tub moved", 3, tub="", to_tub="2"),), came))
    ledger.do(Record("B01", (Move("next stage", 1, tub="2", to_stage="pupa"),), came))
    ledger.do(SaveRound((Mark("B02", "fed"),), TODAY))
    ledger.do(SetLotFact("B04", "rests until", "2025-07-01", TODAY))

    tubs = ledger.round_tubs()

    assert [(one.lot, one.tub, one.stage, one.count) for one in tubs] == [
        ("B01", "", "larva", 4),
        ("B01", "2", "larva", 2),
        ("B01", "2", "pupa", 1),
        ("B01", "10", "larva", 2),
        ("B02", "", "larva", 4),
        ("B03", "", "ootheca", 2),
        ("B04", "", "larva", 1),
    ]
    assert [one.next_stage for one in tubs] == ["pupa", "pupa", "adult", "pupa", "pupa", "", "pupa"]
    assert [one.leave_alone for one in tubs] == [False, False, True, False, False, False, False]
    assert [(one.last_on, one.due) for one in tubs] == [
        *[(None, True)] * 4,
        (TODAY, False),
        (None, True),
        (None, False),
    ]
    assert tubs[-1].rests_until == day("2025-07-01")
    due = {row.ref: row.sentence for row in ledger.due() if row.kind == "round"}
    assert set(due) == {one.lot for one in tubs if one.due}

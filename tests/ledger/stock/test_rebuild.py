"""A fault planted beside the journals is found and named."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sqlalchemy import Connection, delete, insert, update

from ledger.records import tables as t
from ledger.stock.commands import KeepBack, Mark, Move, Part, SaveRound, SplitLot
from tests.ledger.stock.keeper import TODAY, Keeper, day


def busy(keeper: Keeper) -> Keeper:
    keeper.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-04-01"))
    keeper.record("P08", Move("next stage", 4, stage="L3", to_stage="adult"), on=day("2025-04-05"))
    keeper.do(SaveRound((Mark("P08", "seen hard"),), day("2025-04-20")))
    keeper.do(SplitLot("P08", "P08.2", (Part(3, stage="adult"),), day("2025-04-25")))
    keeper.do(KeepBack("P08", 2, "breeders", TODAY, stage="adult"))
    return keeper


def test_a_ledger_that_was_only_written_through_the_front_door_adds_up(both: Keeper) -> None:
    assert busy(both).proof() == []


ADULTS = t.holding.c.id == 2


@pytest.mark.parametrize(
    ("what", "plant"),
    [
        ("count", lambda conn: conn.execute(update(t.holding).where(ADULTS).values(count=7))),
        ("earmarked", lambda conn: conn.execute(update(t.holding).where(ADULTS).values(earmarked=1))),
        ("earmark", lambda conn: conn.execute(update(t.earmark_on).values(count=1))),
        ("earmark", lambda conn: conn.execute(delete(t.earmark_on))),
        ("layers", lambda conn: conn.execute(update(t.layer).where(t.layer.c.hard == 1).values(hard=0))),
        ("layers", lambda conn: conn.execute(delete(t.layer).where(t.layer.c.holding_id == 3))),
        (
            "layers",
            lambda conn: conn.execute(
                insert(t.layer).values(holding_id=2, entered_on=day("2025-05-01"), hard=0, count=1)
            ),
        ),
    ],
)
def test_each_planted_fault_is_found(keeper: Keeper, what: str, plant: Callable[[Connection], object]) -> None:
    busy(keeper)
    with keeper.store.writing() as conn:
        plant(conn)

    found = keeper.proof()

    assert what in {one.what for one in found}
    assert all("P08" in one.sentence for one in found)


def test_a_journal_that_takes_more_than_there_was_is_found(keeper: Keeper) -> None:
    """Rows written past the one writer: five animals leave a day before they came."""
    busy(keeper)

    def past_it(conn: Connection, act) -> None:  # type: ignore[no-untyped-def]
        entry = conn.execute(
            insert(t.entry)
            .values(happened_on=day("2025-03-31"), accounting_on=day("2025-03-31"), note="", operation_id=act.operation)
            .returning(t.entry.c.id)
        ).scalar_one()
        row = {"entry_id": entry, "count": 1, "estimated": 0, "explained": 0}
        conn.execute(insert(t.movement).values(from_holding_id=2, reason="died", cause="unknown", **row))
        conn.execute(update(t.holding).where(ADULTS).values(count=t.holding.c.count - 1))

    keeper.act(past_it)

    gaps = [one for one in keeper.proof() if one.what == "below nothing"]
    assert any("on 2025-03-31" in one.where for one in gaps)
    assert any("stage 7" in one.where for one in gaps)


def test_layers_that_were_lost_are_made_good_by_the_next_entry(keeper: Keeper) -> None:
    busy(keeper)
    with keeper.store.writing() as conn:
        conn.execute(delete(t.layer).where(t.layer.c.holding_id == 1))
    assert keeper.proof() != []

    keeper.record("P08", Move("died", 1, stage="L3"))

    assert keeper.proof() == []

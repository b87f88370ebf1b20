"""Rows that are written together: nobody sees the ledger without them, and what is recorded is the same."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.event import listen

from ledger.costs.commands import EndWindow, ReverseCost, Spend
from ledger.errors import BadInput, NotEnough, Refused
from ledger.ledger import Ledger
from ledger.records.later import kept_back, later
from ledger.records.rows import fingerprint
from ledger.records.store import open_store
from ledger.records.tables import cost, cost_change
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Move, Record
from ledger.trying import try_all
from tests.conftest import NOW
from tests.ledger.test_front_door import lines

ON = dt.date(2025, 6, 1)


def feed(day: int, text: str = "", **more: object) -> Spend:
    return Spend(dt.date(2025, 5, day), "feed", 100 + day, text=text, **more)  # type: ignore[arg-type]


ACTS = [
    feed(1),
    feed(5, "jelly"),
    feed(9),
    ReverseCost(3),
    feed(12),
    Spend(dt.date(2025, 5, 3), "heat", 900, kind="overhead"),
    EndWindow(2, ON, dt.date(2025, 5, 20)),
    feed(25, "jelly"),
    feed(26, unpaid=True),
    # Told of late, and opened between those before.
    feed(7, "jelly"),
    feed(13, "jelly"),
    feed(10),
    feed(28, "jelly"),
]
"""Each says in its answer what was opened before it."""


def opened(path: Path) -> Ledger:
    return Ledger(open_store(str(path)), clock=lambda: NOW, by="keeper")


def rows(ledger: Ledger) -> list[tuple[object, ...]]:
    """Costs and what was noted beside them, without the number of the act."""
    with ledger.store.reading() as conn:
        return [
            tuple(value for name, value in row._mapping.items() if name != "operation_id")
            for table in (cost, cost_change)
            for row in conn.execute(select(table).order_by(table.c.id))
        ]


def test_many_costs_in_one_act_say_and_record_what_each_alone_would(sqlite_template: Path, tmp_path: Path) -> None:
    for name in ("alone", "together"):
        shutil.copyfile(sqlite_template, tmp_path / name)
    one_by_one, at_once = opened(tmp_path / "alone"), opened(tmp_path / "together")

    alone = [one_by_one.do(one) for one in ACTS]
    together = at_once.do_all(lines(*ACTS), content="a")

    assert list(together) == alone
    assert sum(bool(one.cautions) for one in alone) >= 3, "some of them end what was open"
    assert "25 May" in together[-1].cautions[0], "the last one opened before it, whatever was told of last"
    assert rows(at_once) == rows(one_by_one)
    one_by_one.close()
    at_once.close()


def test_sentences_nobody_reads_are_left_out_and_nothing_else(sqlite_template: Path, tmp_path: Path) -> None:
    for name in ("read", "unread"):
        shutil.copyfile(sqlite_template, tmp_path / name)
    read, unread = opened(tmp_path / "read"), opened(tmp_path / "unread")

    told = read.do_all(lines(*ACTS), content="a")
    untold = unread.do_all(lines(*ACTS), content="a", sentences=False)

    assert all(one.sentence for one in told)
    assert not any(one.sentence for act, one in zip(ACTS, untold, strict=True) if isinstance(act, Spend))
    assert [(one.refs, one.cautions) for one in untold] == [(one.refs, one.cautions) for one in told]
    assert rows(unread) == rows(read)
    read.close()
    unread.close()


def test_commands_may_be_given_one_by_one(ledger: Ledger) -> None:
    done = ledger.do_all(lambda: iter(lines(feed(1), feed(2))), content="a")

    assert [one.sentence[:9] for one in done] == ["feed 1.01", "feed 1.02"]
    with pytest.raises(BadInput, match="Line 2: "):
        ledger.do_all(lambda: iter(lines(feed(3), Spend(dt.date(2025, 12, 1), "feed", 5))), content="b")


def test_whatever_is_asked_comes_after_the_rows_that_wait(ledger: Ledger) -> None:
    seen: list[int] = []

    def ask(conn: object) -> Spend:
        seen.append(conn.execute(select(func.count()).select_from(cost)).scalar_one())  # type: ignore[attr-defined]
        return feed(2)

    ledger.do_all([("one", ask), ("two", ask), ("three", ask)], content="a")

    assert seen == [0, 1, 2]


def test_a_thousand_costs_are_a_handful_of_statements(ledger: Ledger) -> None:
    sent: list[str] = []
    listen(ledger.store._engine, "before_cursor_execute", lambda conn, cursor, statement, *_: sent.append(statement))
    days = [dt.date(2025, 1, 1) + dt.timedelta(days=number % 100) for number in range(1200)]

    done = ledger.do_all(lines(*(Spend(day, "feed", 5, text=f"bag {n}") for n, day in enumerate(days))), content="a")

    assert len({one.refs["cost"] for one in done}) == 1200
    with ledger.store.reading() as conn:
        assert conn.execute(select(func.count()).select_from(cost)).scalar_one() == 1200
    assert sum("INTO cost" in one for one in sent) < 40
    assert ledger.prove() == ()


def test_numbers_are_drawn_again_after_a_block(ledger: Ledger) -> None:
    one = ledger.do_all(lines(feed(1), feed(2)), content="a")
    two = ledger.do(feed(3))
    three = ledger.do_all(lines(feed(4)), content="b")

    numbers = [*(int(done.refs["cost"]) for done in one), int(two.refs["cost"]), int(three[0].refs["cost"])]
    assert numbers == sorted(set(numbers))


def test_a_refusal_keeps_all_of_them_out(ledger: Ledger) -> None:
    with ledger.store.reading() as conn:
        before = fingerprint(conn).digest

    with pytest.raises(BadInput, match="Line 3: "):
        ledger.do_all(lines(feed(1), feed(2), Spend(dt.date(2025, 12, 1), "feed", 5)), content="a")

    with ledger.store.reading() as conn:
        assert fingerprint(conn).digest == before


def test_acts_that_are_tried_answer_as_when_they_are_done_and_leave_nothing(ledger: Ledger) -> None:
    ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
    ledger.do(AddLot("P08", "PACH", ON, (Arrival("opening", "L3", unsexed=10),)))
    with ledger.store.reading() as conn:
        before = fingerprint(conn).digest
    died = [Record("P08", (Move("died", count),), ON) for count in (4, 9, 3)]

    answers = try_all(ledger, died, source="test")

    assert [isinstance(one, Refused) for one in answers] == [False, True, False]
    with ledger.store.reading() as conn:
        assert fingerprint(conn).digest == before
    assert answers[0].sentence == ledger.do(died[0]).sentence
    with pytest.raises(NotEnough) as no:
        ledger.do(died[1])
    assert str(no.value) == str(answers[1])


def test_an_act_refused_only_when_it_is_written_leaves_nothing_for_the_next(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    handler = ledger.handler(feed(1))

    def commit(conn: object, plan: object, act: object) -> object:
        done = handler.commit(conn, plan, act)  # type: ignore[arg-type]
        if done.sentence.startswith("feed 1.09"):
            raise NotEnough("Somebody was quicker.")
        return done

    slow = type(handler)(handler.plan, commit)  # type: ignore[arg-type]
    monkeypatch.setattr(Ledger, "handler", lambda self, command: slow)

    answers = try_all(ledger, [feed(5), feed(9), feed(12)], source="test")

    assert [str(one) if isinstance(one, Refused) else len(one.cautions) for one in answers] == [
        0,
        "Somebody was quicker.",
        1,
    ]
    assert "opened on 5 May" in answers[2].cautions[0]  # type: ignore[union-attr]


def test_what_waits_is_dropped_when_the_act_goes_back_to_a_mark(ledger: Ledger) -> None:
    with ledger.store.writing() as conn, kept_back(conn):
        waiting = later(conn)
        assert waiting is not None
        mark = conn.begin_nested()
        waiting.keep(cost, {"text": "no row that could be written"})
        mark.rollback()

    with ledger.store.reading() as conn:
        assert conn.execute(select(func.count()).select_from(cost)).scalar_one() == 0

"""A count of the stock: what to count, differences with their reasons in one act, and reading them back."""

from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import func, select

from ledger.books.closing import figures_of
from ledger.books.commands import CloseYear, Counted, CountStock
from ledger.books.prove import prove
from ledger.books.stock_count import count_rows
from ledger.errors import Ambiguous, BadInput, NotFound
from ledger.records import tables as t
from ledger.stock.commands import Mark, Move, Record, Reverse, SaveRound
from tests.exports.small_business import Story, first_year

LAST = dt.date(2024, 12, 31)


def _stocked(story: Story) -> None:
    first_year(story)
    story.clock.today = dt.date(2025, 1, 3)


def _expected(story: Story, on: dt.date = LAST) -> dict[tuple[str, str, str], int]:
    return {(row.lot, row.stage, row.sex): row.expected for row in story.ledger.to_count(on)}


def test_what_is_to_be_counted_is_the_stock_of_the_day_line_by_line(both: Story) -> None:
    _stocked(both)

    assert _expected(both) == {
        ("A01", "L3", "unsexed"): 15,
        ("A01", "adult", "male"): 3,
        ("A01", "adult", "female"): 4,
        ("B01", "L2", "unsexed"): 28,
        ("E01", "adult", "male"): 2,
        ("E01", "adult", "female"): 3,
        ("P01", "L1", "unsexed"): 40,
    }
    assert _expected(both, dt.date(2024, 11, 4))[("A01", "L3", "unsexed")] == 20


def test_differences_are_recorded_with_their_reasons_and_the_records_then_say_what_was_counted(both: Story) -> None:
    _stocked(both)
    command = CountStock(
        LAST,
        (
            Counted("A01", "L3", 15),
            Counted("B01", "L2", 25, "died"),
            Counted("P01", "L1", 42, "miscounted before"),
            Counted("E01", "adult", 1, sex="male"),
            Counted("E01", "adult", 3, sex="female"),
        ),
        note="year end",
    )
    done = both.ledger.do(command)

    assert done.sentence == (
        "Stock count of 31 December 2024: 5 lines counted, 2 as recorded; B01: 25 L2 counted, 28 recorded, 3 died; "
        "P01: 42 L1 counted, 40 recorded, 2 miscounted before; E01: 1 adult counted, 2 recorded, 1 missing."
    )
    assert done.cautions == ()
    after = _expected(both)
    assert (after["B01", "L2", "unsexed"], after["P01", "L1", "unsexed"], after["E01", "adult", "male"]) == (25, 42, 1)
    rows = both.ledger.ask(count_rows, LAST, LAST)
    assert [(one.lot, one.stage, one.expected, one.counted, one.recorded, one.reasons, one.left) for one in rows] == [
        ("A01", "L3", 15, 15, 0, "", 0),
        ("B01", "L2", 28, 25, -3, "3 died", 0),
        ("P01", "L1", 40, 42, 2, "2 found", 0),
        ("E01", "adult", 5, 4, -1, "1 missing", 0),
    ]
    assert both.ledger.ask(prove) == ()


def test_the_control_a_count_that_was_only_marked_leaves_its_difference_open(story: Story) -> None:
    _stocked(story)
    story.ledger.do(SaveRound((Mark("B01", "counted", stage="L2", count=25),), LAST))

    (row,) = story.ledger.ask(count_rows, LAST, LAST)

    assert (row.expected, row.counted, row.recorded, row.left) == (28, 25, 0, -3)
    said = story.ledger.preview(CloseYear(2024, story.clock.today)).cautions
    assert "Counts that differ from the records, with nothing recorded of it: B01 L2." in said


def test_a_difference_that_was_taken_back_is_open_again(story: Story) -> None:
    _stocked(story)
    done = story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 25),)))
    story.ledger.do(Reverse(int(done.refs["movement"])))

    (row,) = story.ledger.ask(count_rows, LAST, LAST)

    assert (row.expected, row.counted, row.recorded, row.left) == (28, 25, 0, -3)


def test_what_was_recorded_of_an_earlier_day_after_the_count_does_not_change_what_it_was_held_against(
    story: Story,
) -> None:
    _stocked(story)
    story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 28),)))
    story.ledger.do(Record("B01", (Move("died", 4, stage="L2"),), dt.date(2024, 12, 20)))

    (row,) = story.ledger.ask(count_rows, LAST, LAST)

    assert (row.expected, row.counted) == (28, 28)


def test_a_stage_of_which_only_one_sex_was_counted_is_not_said_to_be_counted(story: Story) -> None:
    _stocked(story)

    story.ledger.do(CountStock(LAST, (Counted("E01", "adult", 2, sex="male"),)))

    assert story.ledger.ask(count_rows, LAST, LAST) == ()
    with story.ledger.store.reading() as conn:
        kinds = conn.execute(select(t.observation.c.kind)).scalars().all()
    assert kinds == ["looked"]


@pytest.mark.parametrize(
    ("counts", "sentence"),
    [
        ((), "Nothing was counted"),
        ((Counted("A01", "L3", -1),), "from 0 on"),
        ((Counted("A01", "L3", 14, "moulted"),), "no reason for fewer of A01 L3"),
        ((Counted("A01", "L3", 16, "died"),), "no reason for more of A01 L3"),
        ((Counted("A01", "L3", 15, "died"),), "needs no reason"),
        ((Counted("A01", "L3", 15), Counted("A01", "L3", 15)), "counted twice"),
        ((Counted("E01", "adult", 5), Counted("E01", "adult", 2, sex="male")), "counted twice"),
    ],
)
def test_a_line_that_cannot_be_kept_changes_nothing(story: Story, counts: tuple[Counted, ...], sentence: str) -> None:
    _stocked(story)
    before = _rows(story)

    with pytest.raises(BadInput, match=sentence):
        story.ledger.do(CountStock(LAST, counts))

    assert _rows(story) == before


def test_one_bad_line_among_good_ones_records_none_of_them(story: Story) -> None:
    _stocked(story)
    before = _rows(story)

    with pytest.raises(NotFound):
        story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 20), Counted("Z99", "L2", 1))))
    with pytest.raises(Ambiguous):
        story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 20), Counted("E01", "adult", 4))))

    assert _rows(story) == before


def _rows(story: Story) -> list[int]:
    with story.ledger.store.reading() as conn:
        tables = (t.movement, t.observation, t.entry)
        return [conn.execute(select(func.count()).select_from(table)).scalar_one() for table in tables]


def test_what_was_counted_early_in_the_year_is_told_before_closing_and_a_count_at_its_end_settles_it(
    story: Story,
) -> None:
    _stocked(story)
    story.ledger.do(SaveRound((Mark("B01", "counted", stage="L2", count=28),), dt.date(2024, 11, 30)))
    close = CloseYear(2024, story.clock.today)
    early = "Counted, but not in the last 31 days of the year: B01 (30 November 2024)."
    assert early in story.ledger.preview(close).cautions

    lines = {(row.lot, row.stage, row.sex): row.expected for row in story.ledger.to_count(LAST)}
    counted = tuple(Counted(lot, stage, n, sex=sex) for (lot, stage, sex), n in lines.items())
    story.ledger.do(CountStock(LAST, counted))

    said = story.ledger.preview(close).cautions
    assert not any("ounted" in one for one in said)
    story.ledger.do(close)
    assert {one.figure for one in story.ledger.ask(figures_of, 2024)} >= {"animals", "cash"}


def _marked(story: Story, count: int, on: dt.date) -> None:
    """A count as a round keeps it: what differs is only marked."""
    story.ledger.do(SaveRound((Mark("B01", "counted", stage="L2", count=count),), on))


def _left(story: Story) -> list[tuple[int, int, int, str]]:
    rows = story.ledger.ask(count_rows, dt.date(2024, 11, 1), LAST)
    return [(row.recorded, row.again, row.left, row.reasons) for row in rows]


@pytest.mark.parametrize(
    ("reason", "day", "then"),
    [
        ("missing", dt.date(2024, 12, 20), (-3, 0, 0, "3 missing")),
        ("missing", dt.date(2024, 12, 16), (-3, 0, 0, "3 missing")),
        ("died", dt.date(2024, 12, 10), (-3, 0, 0, "3 died")),
        ("missing", dt.date(2024, 12, 28), (-3, 0, 0, "3 missing")),
        ("died", dt.date(2024, 12, 28), (0, 0, -3, "")),
    ],
)
def test_a_difference_recorded_after_the_count_is_recorded_of_it(
    story: Story, reason: str, day: dt.date, then: tuple[int, int, int, str]
) -> None:
    """Controls: what died after the day of the count explains nothing; before it was recorded, it was open."""
    _stocked(story)
    _marked(story, 25, dt.date(2024, 12, 20))
    assert _left(story) == [(0, 0, -3, "")]

    story.ledger.do(Record("B01", (Move(reason, 3, stage="L2"),), day))

    assert _left(story) == [then]


def test_more_than_the_difference_explains_it_once_and_what_is_taken_back_does_not(story: Story) -> None:
    _stocked(story)
    _marked(story, 25, dt.date(2024, 12, 20))

    done = story.ledger.do(Record("B01", (Move("missing", 5, stage="L2"),), dt.date(2024, 12, 21)))
    assert _left(story) == [(-3, 0, 0, "3 missing")]

    story.ledger.do(Reverse(int(done.refs["movement"])))
    assert _left(story) == [(0, 0, -3, "")]


def test_a_later_count_that_comes_out_as_recorded_settles_an_earlier_one(story: Story) -> None:
    _stocked(story)
    _marked(story, 25, dt.date(2024, 12, 20))
    close = CloseYear(2024, story.clock.today)
    assert any("Counts that differ" in one for one in story.ledger.preview(close).cautions)

    _marked(story, 27, dt.date(2024, 12, 28))
    assert [row[2] for row in _left(story)] == [-3, -1]  # still fewer: neither is settled

    story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 28),)))

    assert [row[1:3] for row in _left(story)] == [(-3, 0), (-1, 0), (0, 0)]
    assert not any("Counts that differ" in one for one in story.ledger.preview(close).cautions)


def test_animals_that_have_moulted_since_are_settled_by_a_count_of_the_whole_lot(story: Story) -> None:
    _stocked(story)
    _marked(story, 25, dt.date(2024, 12, 20))
    story.ledger.do(Record("B01", (Move("next stage", 14, stage="L2", to_stage="L3"),), dt.date(2024, 12, 22)))

    story.ledger.do(CountStock(LAST, (Counted("B01", "L3", 14),)))
    assert _left(story)[0][2] == -3  # half of them says nothing of the others

    story.ledger.do(CountStock(LAST, (Counted("B01", "L3", 14), Counted("B01", "L2", 14))))
    assert _left(story)[0][1:3] == (-3, 0)


def test_animals_in_no_tub_beside_others_in_tubs_are_counted_with_them(story: Story) -> None:
    """A mark knows no 'in no tub': their number alone would read as that of the whole stage."""
    _stocked(story)
    story.ledger.do(Record("B01", (Move("tub moved", 10, stage="L2", to_tub="1"),), dt.date(2024, 12, 20)))

    story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 18, tub=""),)))
    assert _left(story) == []  # of the others nothing is known: looked at

    story.ledger.do(CountStock(LAST, (Counted("B01", "L2", 17, tub=""), Counted("B01", "L2", 10, tub="1"))))

    rows = story.ledger.ask(count_rows, LAST, LAST)
    assert {(row.tub, row.counted, row.difference, row.left) for row in rows} == {("", 27, -1, 0), ("1", 10, 0, 0)}

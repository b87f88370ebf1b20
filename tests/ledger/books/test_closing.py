"""Closing a year: only when it is over, with what is open told first; from then on its figures stand."""

from __future__ import annotations

import datetime as dt
import hashlib

import pytest
from sqlalchemy import select

from ledger.books import lines
from ledger.books.closing import Figure, digest_of, figures_of
from ledger.books.commands import CloseYear
from ledger.books.income import income
from ledger.books.prove import prove
from ledger.costs.commands import EndWindow, RefundCost, ReverseCost, Spend
from ledger.errors import BadInput, PeriodClosed, Refused
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.store import Store
from ledger.selling.commands import CreditLine, CreditSale, LineOf, Paid, Pick, PlaceHold, Sell, TakePayment
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Move, OriginStatement, Record, Reverse
from tests.exports.small_business import Clock, Story, after, close, first_year, second_year


def test_a_year_that_is_not_over_is_not_closed(story: Story) -> None:
    story.clock.today = dt.date(2024, 12, 31)

    with pytest.raises(Refused, match="lasts until 31 December 2024"):
        story.ledger.do(CloseYear(2024, dt.date(2024, 12, 31)))

    story.clock.today = dt.date(2025, 1, 1)
    assert story.ledger.do(CloseYear(2024, dt.date(2025, 1, 1))).refs == {"year": 2024}


def test_a_year_is_closed_after_its_last_day_and_not_later_than_today(story: Story) -> None:
    story.clock.today = dt.date(2025, 1, 5)

    for day in (dt.date(2024, 12, 31), dt.date(2025, 1, 6)):
        with pytest.raises(BadInput, match="after its last day"):
            story.ledger.do(CloseYear(2024, day))


def test_a_year_is_closed_once(story: Story) -> None:
    story.clock.today = dt.date(2025, 1, 5)
    story.ledger.do(CloseYear(2024, dt.date(2025, 1, 5)))

    with pytest.raises(PeriodClosed, match="closed already"):
        story.ledger.do(CloseYear(2024, dt.date(2025, 1, 5)))


def test_there_must_be_such_a_year(story: Story) -> None:
    with pytest.raises(BadInput, match="no accounting year 2300"):
        story.ledger.do(CloseYear(2300, story.clock.today))


def test_the_preview_says_what_is_open_and_writes_nothing(story: Story) -> None:
    first_year(story)
    say = story.say
    say("2024-12-22", lambda on: Sell((LineOf("A01", 2, 700, stage="L3"),), on, customer="Wren"))
    say(
        "2024-12-23",
        lambda on: Sell((LineOf("A01", 2, 700, stage="L3"),), on, channel="post", to_post=True, paid=(Paid(700),)),
    )
    say("2024-12-24", lambda on: PlaceHold("Marlow", (Pick("A01", 1, stage="L3"),), on, "2025-03-01"))
    say("2024-12-24", lambda on: PlaceHold("Tarn", (Pick("A01", 1, stage="L3"),), on, "2024-12-28", deposit=200))
    say("2024-12-26", lambda on: Spend(on, "moss", 365, scope="species", species=("HIER",), window_to=on))
    story.clock.today = dt.date(2025, 1, 20)

    plan = story.ledger.preview(CloseYear(2024, dt.date(2025, 1, 20)))

    assert plan.cautions == (
        "1 sale not paid in full at the year's end: 7.00 EUR.",
        "Sold and not posted by the year's end: S-2024-0003; they count in the year they are posted.",
        "1 cost not paid in full at the year's end: 29.20 EUR.",
        "Holds still open: R-001.",
        "Deposits nobody has decided on: R-002.",
        "Not counted in the year: A01, B01, E01 and P01.",
        "Costs with no animals to carry them: 3.65 EUR.",
    )
    with story.ledger.store.reading() as conn:
        assert conn.execute(select(t.closing)).all() == []
        assert conn.execute(select(t.period.c.closed).where(t.period.c.year == 2024)).scalar() == 0


def test_of_many_lots_the_first_are_named(story: Story) -> None:
    first_year(story)
    some = (Arrival("opening", "L1-3 nymph", unsexed=5),)
    for number in range(20):
        code = f"Z{number:02}"
        story.say("2024-12-27", lambda on, code=code: AddLot(code, "HIER", on, some, origin=OriginStatement("CB")))
    story.clock.today = dt.date(2025, 1, 20)

    (uncounted,) = [
        one for one in story.ledger.preview(CloseYear(2024, story.clock.today)).cautions if "counted" in one
    ]

    named = "A01, B01, E01, P01, " + ", ".join(f"Z{number:02}" for number in range(16))
    assert uncounted == f"Not counted in the year: {named} and 4 more."


def test_a_cent_of_rounding_is_no_cost_that_nobody_carried(story: Story) -> None:
    first_year(story)
    week = dt.timedelta(days=9)
    mantids = Arrival("opening", "L1-3 nymph", unsexed=5)
    story.say("2024-12-20", lambda on: Spend(on, "moss", 7, scope="species", species=("HIER",), window_to=on + week))
    story.say("2024-12-21", lambda on: AddLot("M01", "HIER", on, (mantids,), origin=OriginStatement("CB")))

    assert _nobody(story, 2024) == (-1, [])

    story.say("2024-12-22", lambda on: Spend(on, "moss", 1, scope="species", species=("PACH",), window_to=on))
    story.say("2024-12-19", lambda on: Spend(on, "moss", 30, scope="species", species=("HIER",), window_to=on + week))

    # Two of ten days of 30, and one of ten of 7.
    assert _nobody(story, 2024) == (-7, ["Costs with no animals to carry them: 0.07 EUR."])


def test_what_comes_back_of_a_closed_year_is_not_said_as_a_cost(story: Story) -> None:
    first_year(story)
    bag = story.say("2024-12-01", lambda on: Spend(on, "grit", 3100, window_to=dt.date(2024, 12, 31))).refs["cost"]
    close(story, 2024)
    story.say("2025-02-03", lambda on: RefundCost(int(bag), on, 500))
    story.clock.today = dt.date(2026, 1, 9)

    shown, said = _nobody(story, 2025)

    assert (shown, said) == (
        500,
        [
            "Of costs a closed year had used up, 5.00 EUR more came back than there were costs with no animals to "
            "carry them."
        ],
    )


def _nobody(story: Story, year: int) -> tuple[int, list[str]]:
    """The line of costs nobody carried as the sheet has it, and what the preview of closing says of it."""
    story.clock.today = max(story.clock.today, dt.date(year + 1, 1, 9))
    plan = story.ledger.preview(CloseYear(year, story.clock.today))
    [amount] = [line.accruals for line in story.ledger.ask(income, year).again if line.number == lines.NO_ANIMALS]
    return int(amount or 0), [caution for caution in plan.cautions if "no animals to carry" in caution]


def test_the_figures_are_written_with_a_digest_over_them(both: Story) -> None:
    first_year(both)
    found = both.ledger.ask(income, 2024)
    close(both, 2024)

    with both.ledger.store.reading() as conn:
        closing = conn.execute(select(t.closing)).one()
        rows = conn.execute(
            select(t.closing_figure).order_by(t.closing_figure.c.figure, t.closing_figure.c.detail)
        ).all()
    text = "".join(
        f"{row.figure}\t{row.detail}\t{row.value}\n" for row in sorted(rows, key=lambda r: (r.figure, r.detail))
    )
    values = {(row.figure, row.detail): row.value for row in rows}

    assert (closing.year, closing.closed_on) == (2024, dt.date(2025, 1, 20))
    assert closing.digest == hashlib.sha256(text.encode()).hexdigest()
    assert values["animals", "A01/L3"] == 15
    assert values["animals", "B01/L2"] == 28
    assert values["cash", "Result"] == found.cash_result
    assert values["accruals", "Result"] == found.accruals_result
    # What is there by lot, stage and category comes to what the income has as change, in the first year of a ledger.
    carried = sum(value for (figure, _), value in values.items() if figure == "cost so far")
    assert carried == next(line.accruals for line in found.lines if line.number == 310)


def test_years_before_it_are_closed_with_it_each_with_its_figures(story: Story) -> None:
    first_year(story)
    second_year(story)
    after(story)

    done = close(story, 2025)

    assert done.sentence.startswith("2024 and 2025 are closed: result of 2025 ")
    with story.ledger.store.reading() as conn:
        assert conn.execute(select(t.closing.c.year).order_by(t.closing.c.year)).scalars().all() == [2024, 2025]
        assert prove(conn) == ()


def test_late_facts_of_every_kind_leave_a_closed_year_as_it_was(told: Story, copied: Store) -> None:
    clock = Clock()
    clock.today = dt.date(2026, 1, 20)
    ledger = Ledger(copied, clock=clock, by="keeper")
    ledger.do(CloseYear(2025, clock.today))
    before = (ledger.ask(figures_of, 2025), ledger.ask(income, 2025))
    last = dt.date(2025, 12, 20)

    ledger.do(Record("P01", (Move("died", 2, stage="L3"),), last))
    ledger.do(
        AddLot("Z01", "PACH", last, (Arrival("bought", "L3", unsexed=5, value=900),), origin=OriginStatement("CF"))
    )
    ledger.do(Spend(dt.date(2025, 3, 1), "feed", 555, text="late bill"))
    ledger.do(Spend(clock.today, "feed", 600))
    ledger.do(ReverseCost(int(told.refs["tubs"].refs["cost"])))
    ledger.do(Reverse(int(told.refs["outbreak"].refs["movement"])))
    ledger.do(TakePayment(told.number("partly paid"), 100, dt.date(2025, 4, 1)))
    ledger.do(CreditSale(told.number("returned"), clock.today, "goodwill", (CreditLine(1, 300),)))

    assert (ledger.ask(figures_of, 2025), ledger.ask(income, 2025)) == before
    assert ledger.ask(prove) == ()


def test_the_control_in_an_open_year_the_same_late_fact_does_change_it(told: Story, copied: Store) -> None:
    clock = Clock()
    clock.today = dt.date(2026, 1, 20)
    ledger = Ledger(copied, clock=clock, by="keeper")
    before = ledger.ask(figures_of, 2025)

    ledger.do(Record("P01", (Move("died", 2, stage="L3"),), dt.date(2025, 12, 20)))

    assert ledger.ask(figures_of, 2025) != before


def test_what_is_learned_later_of_one_bag_leaves_the_guess_of_the_next_as_it_was(story: Story) -> None:
    say = story.say
    first_year(story)
    say("2024-11-20", lambda on: Spend(on, "moss", 3000), "first")
    say("2024-12-25", lambda on: Spend(on, "moss", 3000))
    close(story, 2024)

    # 35 days were the guess for the second bag; that the first one was used up in five is learned too late.
    finished = dt.date(2024, 11, 24)
    say("2025-02-01", lambda on: EndWindow(int(story.refs["first"].refs["cost"]), on, finished))

    assert story.ledger.ask(prove) == ()


def test_an_arrival_and_what_followed_can_be_taken_back_after_the_year_was_closed(story: Story) -> None:
    say = story.say
    say("2024-11-01", lambda on: AddSpecies("PACH", "pachnoda-marginata"))
    arrival = Arrival("bought", "L3", unsexed=21, value=2100)
    say("2024-11-01", lambda on: AddLot("B01", "PACH", on, (arrival,), origin=OriginStatement("CF")), "came")
    say("2024-11-20", lambda on: Record("B01", (Move("next stage", 9, to_stage="cocoon"),), on), "moved")
    say("2024-12-20", lambda on: Record("B01", (Move("own use", 4, stage="L3"),), on), "used")
    close(story, 2024)

    # All fall on 1 January 2025, where the animals must be back before their coming is taken back.
    for name in ("used", "moved", "came"):
        say("2025-02-01", lambda on, name=name: Reverse(int(story.refs[name].refs["movement"])))

    assert story.ledger.ask(prove) == ()
    assert story.ledger.ask(income, 2025).accruals_result == 400
    assert story.ledger.ask(income, 2024).accruals_result == -400


def test_the_digest_tells_any_figure_from_another() -> None:
    figures = [Figure("animals", "A01/L3", 15), Figure("cash", "Result", -3)]

    changed = [Figure("animals", "A01/L3", 16), Figure("cash", "Result", -3)]

    assert digest_of(figures) == digest_of(figures[::-1])
    assert digest_of(figures) != digest_of(changed)


def test_a_ledger_without_anything_in_it_can_be_closed(both: Story) -> None:
    both.clock.today = dt.date(2025, 2, 1)

    both.ledger.do(CloseYear(2024, both.clock.today))
    both.ledger.do(AddSpecies("PACH", "pachnoda-marginata"))

    assert both.ledger.ask(prove) == ()

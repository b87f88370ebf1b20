"""Where a cost went: by hand, whole on random journals, and all costs together make the account of the engine."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction

import pytest

from ledger.costs.explain import landing
from ledger.costs.explain.parts import NEAR, Key
from ledger.costs.explain.replay import Journal
from ledger.costs.grid import GRID
from ledger.costs.result import Closing, Kind, Posting
from tests.ledger.costs.explained import journal_of, random_journal, takes_back
from tests.ledger.costs.test_explain_split import PLAIN_SEEDS, day, worked


def called(row: Posting | Closing) -> Key:
    return Key(str(row.kind), number=row.lot or 0)


def kinds(found: landing.Landed) -> dict[str, Fraction]:
    by_kind: dict[str, Fraction] = defaultdict(Fraction)
    for part in found.parts:
        by_kind[part.key.kind] += round(part.exact * 10**6) / Fraction(10**6)
    return dict(by_kind)


def test_feed_went_with_what_ate_it() -> None:
    journal = journal_of(worked(), day(14))
    first, second = journal.lines

    # By day 14 nothing is sold; feed B has six of its ten days to go.
    assert kinds(landing.of_lines(journal, [first], called)) == {"on hand": 100}
    assert kinds(landing.of_lines(journal, [second], called)) == {"on hand": 40, "not used up": 60}


def test_feed_of_sold_animals_went_with_the_sale() -> None:
    journal = journal_of(worked(), day(20))

    assert kinds(landing.of_lines(journal, journal.lines[:1], called)) == {"left": 30, "on hand": 70}
    assert kinds(landing.of_purchase(journal, 1, called)) == {"left": 300, "on hand": 700}


def test_a_month_of_a_cost_is_what_its_days_bore() -> None:
    book = worked()
    book.cost("heat", 620, day(1), day(31))
    journal = journal_of(book, day(20))

    # Ten days of January at 20.
    found = landing.of_month(journal, [journal.lines[2]], "2025-01", called)

    assert (found.exact, found.shown) == (200, 200)
    assert kinds(found) == {"left": 60, "on hand": 140}


def test_what_equipment_is_still_worth_stands_beside_where_it_went() -> None:
    journal = journal_of(worked(), day(14))

    found = landing.of_lines(journal, journal.lines[:1], called, [(Key("worth"), 30)])

    assert (found.shown, kinds(found)) == (130, {"on hand": 100, "worth": 30})


@pytest.mark.parametrize("seed", range(800, 812))
def test_the_places_of_every_cost_sum_to_it(seed: int) -> None:
    journal = random_journal(seed)
    for line in journal.lines:
        found = landing.of_lines(journal, [line], called)

        assert sum(part.exact for part in found.parts) == found.exact == line.amount
        assert sum(part.shown for part in found.parts) == found.shown == line.amount


@pytest.mark.parametrize("seed", PLAIN_SEEDS)
def test_all_costs_and_prices_together_make_the_account_of_the_engine(seed: int) -> None:
    journal = random_journal(seed)

    together = all_of_it(journal)

    account = journal.shared().account()
    for kind in Kind:
        assert abs(together[str(kind)] - Fraction(sum(account[kind].cost), GRID)) < NEAR


def all_of_it(journal: Journal) -> dict[str, Fraction]:
    together: dict[str, Fraction] = defaultdict(Fraction)
    found = [landing.of_lines(journal, [line], called) for line in journal.lines]
    found += [landing.of_purchase(journal, event.id, called) for event in journal.events if event.value]
    for one in found:
        for part in one.parts:
            together[part.key.kind] += part.exact
    return together


def test_an_account_without_one_of_the_costs_does_not_agree() -> None:
    journal = random_journal(PLAIN_SEEDS[0])
    assert not takes_back(journal)
    largest = max(journal.lines, key=lambda line: line.amount)
    short = replace(journal, lines=[line for line in journal.lines if line is not largest])

    together = all_of_it(short)

    account = journal.shared().account()
    assert any(abs(together[str(kind)] - Fraction(sum(account[kind].cost), GRID)) > NEAR for kind in Kind)

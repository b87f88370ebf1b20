"""The engine against the slow way in exact fractions, on random journals: every figure it gives, at several dates."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest

from ledger.costs.engine import share
from ledger.costs.given import TUB_DAYS, Dated
from ledger.costs.grid import GRID
from ledger.costs.result import Kind, Shared
from ledger.stock.reasons import REASONS, Cost
from tests.ledger.costs.book import NEAR
from tests.ledger.costs.oracle import Oracle, Pot, categories
from tests.ledger.costs.random_book import LAST_DAY, Written, random_book

WORDS = {Kind.LEFT: "left", Kind.WRITTEN_OFF: "written off", Kind.BROOD_ENDED: "ended"}
SEEDS = range(200)
UPKEEP: tuple[Dated, ...] = (0, 1, 1, ((LAST_DAY // 4, 0),), ((1, 0), (LAST_DAY // 4, 1), (LAST_DAY // 2, 0)))
"""Whether upkeep goes to young, and from which days on."""


def oracle(written: Written, until: int, *, to_offspring: Dated) -> Oracle:
    method = written.method
    slow = Oracle(
        written.book.lots,
        written.book.costs,
        method["weights"],  # type: ignore[arg-type]
        method["losses"],  # type: ignore[arg-type]
        method["reared"],  # type: ignore[arg-type]
        frozenset(method["specimens"]),  # type: ignore[arg-type, call-overload]
        to_offspring,
        method["keys"],  # type: ignore[arg-type]
        method["care"],  # type: ignore[arg-type]
    )
    return slow.play(written.book.journal(), until)


Figures = dict[tuple[object, ...], Fraction]


def of_engine(shared: Shared, *, by_stage: bool) -> Figures:
    """All figures by name, in minor units."""
    figures: Figures = defaultdict(Fraction)

    def note(name: Sequence[object], cost: Sequence[int]) -> None:
        for category, amount in zip(shared.categories, cost, strict=True):
            figures[*name, category] += Fraction(amount, GRID)

    for bucket in shared.buckets:
        note(("here", bucket.lot, bucket.stage), bucket.cost)
        for stage, cost in enumerate(bucket.by_stage):
            note(("here by stage", bucket.lot, bucket.stage, stage), cost)
        for name, value in (
            ("count", bucket.count),
            ("units", bucket.units),
            ("entrants", bucket.entrants),
            ("early", bucket.early_exits),
            ("used", bucket.expected_used),
        ):
            figures[name, bucket.lot, bucket.stage] += value
    for row in shared.postings:
        if row.kind is Kind.NO_ANIMALS:
            note(("no animals",), row.cost)
        else:
            note((WORDS[row.kind], row.event, row.lot), row.cost)
    for line in shared.closing:
        if line.kind is Kind.BROOD:
            note(("brood", line.lot), line.cost)
        elif line.kind is Kind.NOT_USED_UP:
            note(("not used up",), line.cost)
    for reached in shared.reached:
        figures["reached", reached.lot] += reached.count
        note(("reached at", reached.lot), reached.cost)
        for stage, cost in enumerate(reached.by_stage):
            note(("reached by stage", reached.lot, stage), cost)
    for spell in shared.no_animals:
        figures["spells without animals", spell.category] += Fraction(spell.cost, GRID)
    assert any(name[0] == "here by stage" for name in figures) == (by_stage and bool(shared.buckets))
    return figures


def of_oracle(slow: Oracle, *, by_stage: bool) -> Figures:
    figures: Figures = defaultdict(Fraction)

    def note(name: Sequence[object], pot: Pot) -> None:
        for category, amount in categories(pot).items():
            figures[*name, category] += amount

    def note_stages(name: Sequence[object], pot: Pot) -> None:
        for (category, stage), amount in pot.items() if by_stage else ():
            figures[*name, stage, category] += amount

    for (lot, stage), group in slow.groups.items():
        note(("here", lot, stage), group.cost())
        note_stages(("here by stage", lot, stage), group.cost())
        figures["count", lot, stage] += group.count
        figures["units", lot, stage] += slow.weight(group)
        figures["entrants", lot, stage] += group.entrants
        figures["early", lot, stage] += group.early
        figures["used", lot, stage] += group.used
    for kind, event, lot_of, amounts in slow.out:
        for category, amount in amounts.items():
            figures[kind, event, lot_of, category] += amount
    for category, amount in slow.nobody.items():
        figures["no animals", category] += amount
        figures["spells without animals", category] += amount
    for lot, amounts in slow.brood.items():
        for category, amount in amounts.items():
            figures["brood", lot, category] += amount
    for category, amount in slow.not_used_up.items():
        figures["not used up", category] += amount
    for lot, (count, pot) in slow.reached.items():
        figures["reached", lot] += count
        note(("reached at", lot), pot)
        note_stages(("reached by stage", lot), pot)
    return figures


def differences(fast: Figures, slow: Figures) -> list[str]:
    return [
        f"{name}: {float(fast.get(name, Fraction(0)))} is not {float(slow.get(name, Fraction(0)))}"
        for name in fast.keys() | slow.keys()
        if abs(fast.get(name, Fraction(0)) - slow.get(name, Fraction(0))) > NEAR
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_engine_agrees_with_the_slow_way_in_every_figure(seed: int) -> None:
    written = random_book(seed)
    by_stage, to_offspring = seed % 2 == 0, UPKEEP[seed % 5]
    for until in (LAST_DAY // 3, LAST_DAY // 2 + seed % 10, LAST_DAY):
        shared = written.book.share(until, by_stage=by_stage, to_offspring=to_offspring, **written.method)
        slow = oracle(written, until, to_offspring=to_offspring)

        found = differences(of_engine(shared, by_stage=by_stage), of_oracle(slow, by_stage=by_stage))

        assert not found, f"until day {until}: " + "; ".join(sorted(found)[:5])


def test_the_random_journals_hold_everything_that_can_be_recorded() -> None:
    reasons: Counter[str] = Counter()
    seen: Counter[str] = Counter()
    for seed in SEEDS:
        written = random_book(seed)
        shared = written.book.share(LAST_DAY, **written.method)
        for event in written.book.journal():
            reasons[event.reason] += 1
            seen["taken back " + event.reason] += event.reverses is not None
            seen["cause " + str(event.cause)] += 1
        keys = {key for rows in written.method["keys"].values() for _, key in rows}  # type: ignore[attr-defined]
        seen["tub-days"] += TUB_DAYS in keys
        seen["own weights"] += bool(written.method["care"])
        labels = Counter((e.to_lot, e.tub_to, e.to_stage) for e in written.book.events if e.tub_to)
        seen["mixed tubs"] += len({label[:2] for label in labels}) < len(labels)
        seen["brood"] += any(row.kind is Kind.BROOD for row in shared.closing)
        seen["brood ended"] += any(row.kind is Kind.BROOD_ENDED for row in shared.postings)
        seen["cost without animals"] += bool(shared.no_animals)
        seen["reached"] += bool(shared.reached)

    missing = REASONS.keys() - reasons.keys()
    assert not missing
    assert all(seen["taken back " + reason] for reason in reasons if REASONS[reason].cost is not Cost.STAY)
    assert all(seen["cause " + cause] for cause in ("unknown", "ordinary", "exceptional"))
    assert all(seen[name] > 20 for name in ("brood", "brood ended", "cost without animals", "reached"))
    assert all(seen[name] > 40 for name in ("tub-days", "own weights", "mixed tubs"))


def test_the_comparison_finds_an_animal_that_was_not_counted() -> None:
    written = random_book(3)
    shared = written.book.share(LAST_DAY, **written.method)
    slow = oracle(written, LAST_DAY, to_offspring=1)
    assert not differences(of_engine(shared, by_stage=False), of_oracle(slow, by_stage=False))
    sale = next(place for place, event in enumerate(written.book.events) if event.reason == "bought" and event.value)
    written.book.events[sale] = replace(written.book.events[sale], count=written.book.events[sale].count + 1)

    wrong = share(written.book.journal(), written.book.costs, written.book.lots, LAST_DAY, **written.method)  # type: ignore[arg-type]

    assert differences(of_engine(wrong, by_stage=False), of_oracle(slow, by_stage=False))

"""How long a thing will last: as the last of its item or category known when it was recorded, in whatever order."""

from __future__ import annotations

import random
import sys
from collections.abc import Callable

from ledger.costs.guessing import Before, Used, guess
from ledger.costs.windows import GUESS_DAYS

BAGS = 2_000


def bag(operation: int, days: int, ends: tuple[tuple[int, int], ...] = ()) -> Used:
    return Used(operation, 100, 99 + days, ends)


def looked_through(item: list[Used], category: list[Used], operation: int) -> int:
    """The same by looking at each, from the one opened last."""
    for one in (*reversed(item), *reversed(category)):
        if one.operation < operation:
            last = [end for act, end in one.ends if act <= operation] or [one.last]
            return max(1, last[-1] - one.first + 1)
    return GUESS_DAYS


def test_the_last_one_known_is_found_in_whatever_order_they_were_recorded() -> None:
    chance = random.Random(7)
    for _ in range(60):
        item, category = Before(), Before()
        items: list[Used] = []
        categories: list[Used] = []
        for days in range(1, 30):
            act = chance.randrange(1, 25)
            asked = chance.randrange(0, 26)
            assert guess(item, category, asked) == looked_through(items, categories, asked)
            one = bag(act, days, ((act + 3, 104),) if chance.random() < 0.3 else ())
            category.add(one)
            categories.append(one)
            if chance.random() < 0.5:
                item.add(one)
                items.append(one)


def test_what_was_learned_later_does_not_count() -> None:
    item = Before()
    item.add(bag(3, 10, ((5, 102),)))

    assert guess(item, Before(), 4) == 10
    assert guess(item, Before(), 5) == 3
    assert guess(item, Before(), 3) == GUESS_DAYS


def _steps(work: Callable[[], object]) -> int:
    """Lines of the module that are run."""
    count = 0

    def line(frame: object, event: str, arg: object) -> object:
        nonlocal count
        count += 1
        return line

    before = sys.gettrace()
    sys.settrace(line)  # type: ignore[arg-type]
    try:
        work()
    finally:
        sys.settrace(before)
    return count


def test_bags_recorded_newest_first_are_not_looked_through_for_each() -> None:
    def read(bags: int) -> Callable[[], None]:
        def work() -> None:
            item = Before()
            for act in range(bags, 0, -1):
                guess(item, item, act)
                item.add(bag(act, 1))

        return work

    few, many = _steps(read(BAGS // 4)), _steps(read(BAGS))
    assert many < 6 * few

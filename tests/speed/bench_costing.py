"""How long the sharing of costs takes, beside a floor, and whether it grows in step with the movements.

    python tests/speed/bench_costing.py [movements]

By default one million random movements over ten years, in 5,000 lots of 12 species, with 20,000 costs in 8 categories
and three kinds of scope. The floor is one pass over the same movements that sums whole numbers. A script, not a test.
"""

from __future__ import annotations

import gc
import random
import sys
import time
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from operator import attrgetter

from ledger.costs.engine import share
from ledger.costs.given import CostLine, LotInfo, Scope
from ledger.costs.given import Given as Everything
from ledger.costs.live import Live
from ledger.costs.result import Shared
from ledger.stock.events import Event

DAYS = 3650
LOTS = 5000
SPECIES = 12
COSTS = 20_000
STAGES = 5
FAMILY = 25
"""Lots of one breeding group: the breeders and their young."""
CATEGORIES = ("feed", "substrate", "heat", "tubs", "light", "water", "care")
"""With the price of animals bought, eight."""

Given = tuple[list[Event], list[CostLine], dict[int, LotInfo], dict[str, object]]


def journal(movements: int, seed: int = 1) -> Given:
    """A random journal: families of lots one after the other, bought, bred, split, reared and sold."""
    rng = random.Random(seed)
    lots: dict[int, LotInfo] = {}
    for lot in range(LOTS):
        mother = lot - lot % FAMILY
        species = mother // FAMILY % SPECIES
        if lot == mother:
            lots[lot] = LotInfo(species, breeding=((lot * (DAYS - 400) // LOTS + 1, None),), breeding_life_days=400)
        else:
            lots[lot] = LotInfo(species, mothers=(mother,))
    costs = list(random_costs(rng))
    number = count(1)
    here = [[0] * STAGES for _ in range(LOTS)]
    events: list[Event] = []
    per_day, owed = movements / DAYS, 0.0
    for day in range(1, DAYS + 1):
        newest = min(LOTS - 1, max(0, (day - 1) * LOTS // (DAYS - 400)))
        today: list[Event] = []
        owed += per_day
        while owed >= 1:
            owed -= 1
            lot = rng.randint(max(0, newest - 400), newest)
            today.append(one_movement(rng, next(number), day, lot, lots[lot], here[lot]))
        today.sort(key=lambda event: (event.stage, event.id))
        events.extend(possible(today, here))
    every = [(species, stage) for species in range(SPECIES) for stage in range(STAGES)]
    weights = {(species, stage): (500, 1000, 1500, 0, 2000)[stage] for species, stage in every}
    losses = {(species, 1): 150_000 for species in range(0, SPECIES, 2)}
    reared = dict.fromkeys(range(SPECIES), STAGES - 1)
    return events, costs, lots, {"weights": weights, "losses": losses, "reared": reared}


def random_costs(rng: random.Random) -> Iterator[CostLine]:
    for number in range(COSTS):
        kind = rng.random()
        if kind < 0.4:
            scope = Scope("all")
        elif kind < 0.8:
            scope = Scope("species", frozenset({rng.randrange(SPECIES)}))
        else:
            family = rng.randrange(LOTS // FAMILY) * FAMILY
            scope = Scope("lots", frozenset(range(family, family + FAMILY)))
        first = rng.randint(1, DAYS)
        days = rng.choice((1, 7, 30, 30, 90, 365))
        yield CostLine(number, rng.choice(CATEGORIES), rng.randint(100, 20_000), first, first + days - 1, scope)


def one_movement(rng: random.Random, number: int, day: int, lot: int, info: LotInfo, here: list[int]) -> Event:
    """Something that may happen in a lot; breeders are bought when there are none."""
    filled = [stage for stage, animals in enumerate(here) if animals > 0]
    kind = rng.random()
    bred = bool(info.mothers)
    if not filled or (kind < 0.22 and bred):
        return Event(
            number, number, day, day, "laid" if bred else "bought", rng.randint(5, 40), to_lot=lot,
            to_stage=0 if bred else rng.randrange(STAGES), value=None if bred else rng.randint(100, 9000),
        )  # fmt: skip
    stage = rng.choice(filled)
    animals = rng.randint(1, max(1, here[stage] // 2))
    if kind < 0.6 and stage < STAGES - 1:
        return Event(number, number, day, day, "next stage", animals, lot, stage, to_lot=lot, to_stage=stage + 1)
    if kind < 0.63 and lot % FAMILY < FAMILY - 1:
        return Event(number, number, day, day, "split", animals, lot, stage, to_lot=lot + 1, to_stage=stage)
    if kind < 0.8:
        return Event(number, number, day, day, "died", min(animals, 3), lot, stage, cause="unknown")
    return Event(number, number, day, day, "sold", animals, lot, stage)


def possible(today: list[Event], here: list[list[int]]) -> Iterator[Event]:
    """Those of a day's movements the counts allow, with the counts brought up to date."""
    for event in today:
        if event.from_lot is not None and event.from_stage is not None:
            if here[event.from_lot][event.from_stage] < event.count:
                continue
            here[event.from_lot][event.from_stage] -= event.count
        if event.to_lot is not None and event.to_stage is not None:
            here[event.to_lot][event.to_stage] += event.count
        yield event


def floor(events: list[Event]) -> float:
    """Processor seconds for one pass that sums whole numbers of each movement."""
    started = time.process_time()
    total = 0
    for event in events:
        total += event.count + event.accounting_on
    assert total > 0
    return time.process_time() - started


def run(given: Given) -> tuple[float, Shared]:
    """Processor seconds of the sharing, and what it comes to."""
    events, costs, lots, method = given
    started = time.process_time()
    shared = share(events, costs, lots, DAYS, **method)  # type: ignore[arg-type]
    assert not shared.postings or shared.postings[-1].posted
    return time.process_time() - started, shared


def resident_mib() -> float:
    """Most memory this process has held, journal and all."""
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def one_category(given: Given, all_of_them: float) -> None:
    """What reckoning one category by itself would take: hardly less, as all share each step of the journal."""
    events, costs, lots, method = given
    seconds, _ = run((events, [replace(line, category=CATEGORIES[0]) for line in costs], lots, method))
    print(f"  with all costs of one category: {seconds:.2f} s, {seconds / all_of_them:.2f} of what eight take")


def live_run(given: Given) -> None:
    """An open run: how long it takes to come to what was recorded, asked as the rearing report asks."""
    events, costs, lots, method = given
    plain = everything(costs, lots, method)
    started = time.process_time()
    live = Live(events[:-1], plain, DAYS)
    seconds = time.process_time() - started
    print(f"  open run: begun in {seconds:.2f} s; memory at most {resident_mib():.0f} MiB")
    last, n = events[-1], len(events)
    gc.collect()  # what the beginning owes the collector is not the next entry's
    started = time.process_time()
    live.go(events, plain, DAYS, since=last.accounting_on, fresh=[last])
    rows = live.reared()
    print(f"    an entry dated today: {1000 * (time.process_time() - started):.1f} ms; {len(rows)} lots reared some")
    for days in (30, 365):
        place = bisect_left(events, DAYS - days, key=attrgetter("accounting_on"))
        found = next(at for at in range(place, n) if events[at].from_lot is None)
        late = events[found]
        changed = [*events[:found], replace(late, count=late.count + 1), *events[found + 1 :]]
        gc.collect()
        started = time.process_time()
        live.go(changed, plain, DAYS, since=late.accounting_on)
        live.reared()
        seconds = time.process_time() - started
        each = seconds / (n - found) * 1e6
        print(f"    an entry dated {days} days back: {seconds:.3f} s = {each:.1f} us a movement since")
        more = [*costs, CostLine(COSTS + days, "feed", 5000, DAYS - days, DAYS)]
        given_more = everything(more, lots, method)
        gc.collect()
        started = time.process_time()
        live.go(changed, given_more, DAYS)
        live.reared()
        seconds = time.process_time() - started
        each = seconds / (n - found) * 1e6
        print(f"    a cost entered {days} days late: {seconds:.3f} s = {each:.1f} us a movement since")
        live.go(events, plain, DAYS, since=late.accounting_on)


def everything(costs: list[CostLine], lots: dict[int, LotInfo], method: dict[str, object]) -> Everything:
    """What an open run is given."""
    return Everything(
        costs=costs, lots=lots, specimens=frozenset(), cuts=frozenset(), care={}, by_stage=False, stages=1,
        to_offspring=True, **method,  # type: ignore[arg-type]
    )  # fmt: skip


def main() -> None:
    movements = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    each = {}
    for size in (movements, movements // 10):
        given = journal(size)
        n = len(given[0])
        before = resident_mib()
        low = floor(given[0])
        seconds, shared = run(given)
        each[size] = seconds / n * 1e6
        print(f"{n:,} movements, {len(given[1]):,} costs, {len(given[2]):,} lots, {len(shared.categories)} categories")
        print(f"  sharing {seconds:6.2f} s = {each[size]:5.2f} us a movement; floor {low / n * 1e6:.3f} us")
        print(f"  settled {shared.settlements / n:.2f} times a movement; {len(shared.postings):,} postings")
        print(f"  adds up: {shared.adds_up()}")
        if size == movements:
            print(f"  memory at most {resident_mib():.0f} MiB, of which {before:.0f} MiB with the journal")
            del shared
            live_run(given)
            one_category(given, seconds)
            shared = None
        given = shared = None
    print(f"ten times the movements: {each[movements] / each[movements // 10]:.2f} times the time of one movement")


if __name__ == "__main__":
    main()

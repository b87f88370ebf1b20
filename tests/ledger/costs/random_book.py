"""Random journals that can have happened: everything a keeper may record, in a few lots over some weeks."""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from dataclasses import dataclass, replace

from ledger.costs.given import ANIMAL_DAYS, TUB_DAYS, CostLine, Key, LotInfo, Scope
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost
from tests.ledger.costs.book import Book, Place

EGG, YOUNG, ADULT, DRIED = 0, 1, 2, 3
LAST_DAY = 70
BREEDERS, LENT = (1, 2), 3
LOTS = 9


@dataclass
class Written:
    """A random journal with all the engine is given."""

    book: Book
    method: dict[str, object]


def random_lots(rng: random.Random) -> tuple[dict[int, LotInfo], dict[int, int]]:
    """Two breeding lots and one on loan, each perhaps with a pause, and six lots of young and others."""
    lots: dict[int, LotInfo] = {}
    for lot in range(1, LOTS + 1):
        info = LotInfo(species=1 + lot % 2)
        if lot in BREEDERS:
            start = rng.randint(1, 12)
            spells: list[tuple[int, int | None]] = [(start, None)]
            if rng.random() < 0.5:
                stop = start + rng.randint(5, 25)
                spells = [(start, stop), (stop + rng.randint(1, 10), None)]
            life = rng.choice([None, rng.randint(10, 60)])
            info = replace(info, species=1, breeding=tuple(spells), breeding_life_days=life)
        elif lot == LENT:
            info = replace(info, species=1, lent=True)
        elif rng.random() < 0.7:
            mothers = rng.sample([1, 2, LENT], rng.choice([1, 1, 2]))
            stated = rng.choice([None, None, rng.randint(1, 20)])
            info = replace(info, species=1, mothers=tuple(mothers), brood_share=stated)
        lots[lot] = info
    return lots, {lot: int(lot > LENT) + int(lot > 6) for lot in lots}


def random_keys(rng: random.Random) -> dict[str, tuple[tuple[int, Key], ...]]:
    """What each category is shared by: always the same, or another from some day on."""
    day = rng.randint(2, LAST_DAY)
    choices: list[tuple[tuple[int, Key], ...]] = [
        (),
        ((1, TUB_DAYS),),
        ((day, TUB_DAYS),),
        ((1, TUB_DAYS), (day, ANIMAL_DAYS)),
        ((day, TUB_DAYS), (day + rng.randint(0, 9), ANIMAL_DAYS)),
    ]
    return {category: rng.choice(choices) for category in ("feed", "heat", "tubs")}


def random_costs(rng: random.Random) -> list[CostLine]:
    scopes = [
        Scope("all"),
        Scope("species", frozenset({1})),
        Scope("species", frozenset({1, 2})),
        Scope("lots", frozenset({1, 4, 5})),
        Scope("lots", frozenset({6})),
        Scope("brood", frozenset({1, 2})),
        Scope("brood", frozenset({2, LENT})),
    ]
    lines = []
    for number in range(1, rng.randint(3, 9)):
        first = rng.randint(1, LAST_DAY - 5)
        lines.append(
            CostLine(
                number,
                rng.choice(["feed", "heat", "tubs", "animals"]),
                rng.randint(0, 9999),
                first,
                first + rng.choice([0, 6, 29, rng.randint(0, 200)]),
                rng.choice(scopes),
            )
        )
    return lines


def random_method(rng: random.Random) -> dict[str, object]:
    weights: dict[tuple[int, int], object] = {
        (1, EGG): rng.choice([0, 500, 333]),
        (1, ADULT): ((5, 2000), (rng.randint(10, 50), 1700)),
        (2, YOUNG): ((rng.randint(2, 60), 2500),),
    }
    losses: dict[tuple[int, int], object] = {
        (1, EGG): 250_000,
        (1, YOUNG): ((rng.randint(1, 30), 333_333), (rng.randint(31, 60), 100_000)),
        (2, YOUNG): rng.choice([0, 150_000]),
    }
    return {
        "weights": weights,
        "losses": losses,
        "reared": {1: ADULT, 2: YOUNG},
        "specimens": [(1, DRIED), (2, DRIED)],
    }


def random_sharing(rng: random.Random) -> dict[str, object]:
    """By what categories are shared: keys, and care weights of their own."""
    feed = {
        (1, YOUNG): rng.choice([700, ((3, 900), (rng.randint(10, 60), 4000))]),
        (2, ADULT): ((rng.randint(2, 60), 3000),),
    }
    return {
        "keys": random_keys(rng) if rng.random() < 0.6 else {},
        "care": rng.choice([{}, {}, {"feed": feed}]),
    }


class Writer:
    """Writes one day after the other, only what the counts allow."""

    def __init__(self, seed: int, entries: int = 60) -> None:
        self.rng = random.Random(seed)
        lots, depth = random_lots(self.rng)
        self.book = Book(lots, depth)
        self.book.costs = random_costs(self.rng)
        self.method = random_method(self.rng)
        self.here: Counter[Place] = Counter()
        self.free: set[int] = set()
        """Movements nothing depends on, that may be taken back."""
        self.back: Counter[int] = Counter()
        """Animals sold and not returned, by sale."""
        days = sorted(self.rng.choices(range(1, LAST_DAY), k=entries))
        for day in days:
            self.entry(day)

    def entry(self, day: int) -> None:
        kept = len(self.book.events), self.here.copy(), set(self.free), self.back.copy()
        self.rng.choice(
            [self.arrive, self.arrive, self.young, self.hatch, self.on, self.on, self.split, self.die, self.die,
             self.leave, self.come_back, self.take_back, self.tub]
        )(day)  # fmt: skip
        if not self.possible():
            del self.book.events[kept[0] :]
            self.here, self.free, self.back = kept[1:]

    def possible(self) -> bool:
        """Whether no (lot, stage) goes below zero at any step, in the order in which they take effect."""
        counts: Counter[Place] = Counter()
        seen: set[int] = set()
        for event in self.book.journal():
            if event.reverses is not None and event.reverses not in seen:
                return False
            if event.relates_to is not None and event.relates_to not in seen and event.reverses is None:
                return False
            seen.add(event.id)
            counts.update(places(event))
            if any(count < 0 for count in counts.values()):
                return False
        self.here = counts
        return True

    def spot(self, *stages: int) -> tuple[Place, int] | None:
        """A random place with animals, and some of them."""
        found = [place for place, count in sorted(self.here.items()) if count > 0 and place[1] in stages]
        if not found:
            return None
        place = self.rng.choice(found)
        count = self.here[place]
        return place, self.rng.choice([count, self.rng.randint(1, count), self.rng.randint(1, count)])

    def write(self, day: int, reason: str, count: int, *places_: Place | None, **more: object) -> int:
        number = self.book.add(day, reason, count, *places_, **more)  # type: ignore[arg-type]
        self.free.add(number)
        return number

    def arrive(self, day: int) -> None:
        lot = self.rng.randint(1, LOTS)
        count, stage = self.rng.randint(1, 40), self.rng.choice([EGG, YOUNG, ADULT])
        if lot == LENT:
            self.write(day, "lent in", count, None, (lot, ADULT))
        elif lot in BREEDERS:
            self.write(day, "bought", min(count, 6), None, (lot, ADULT), value=self.rng.randint(0, 9000))
        else:
            reason = self.rng.choice(["bought", "bought", "swapped in", "found", "opening", "collected"])
            value = self.rng.randint(0, 5000) if REASONS[reason].cost is Cost.PRICE else None
            self.write(day, reason, count, None, (lot, stage), value=value)

    def young(self, day: int) -> None:
        reason = self.rng.choice(["laid", "laid", "harvested", "hatched"])
        for lot in self.rng.sample(range(4, LOTS + 1), self.rng.randint(1, 2)):
            for _ in range(self.rng.randint(1, 2)):
                self.write(day, reason, self.rng.randint(1, 30), None, (lot, EGG))

    def hatch(self, day: int) -> None:
        spot = self.spot(EGG)
        if spot is None:
            return
        place, count = spot
        out = self.write(day, "hatched out", count, place)
        for _ in range(self.rng.randint(0, 2)):
            lot = self.rng.choice([place[0], place[0], self.rng.randint(4, LOTS)])
            self.write(day, "hatched", self.rng.randint(1, 25), None, (lot, YOUNG), relates_to=out)

    def on(self, day: int) -> None:
        spot = self.spot(EGG, YOUNG)
        if spot is not None:
            (lot, stage), count = spot
            self.write(day, "next stage", count, (lot, stage), (lot, self.rng.randint(stage + 1, ADULT)))

    def split(self, day: int) -> None:
        spot = self.spot(EGG, YOUNG, ADULT)
        if spot is not None:
            (lot, stage), count = spot
            target = self.rng.choice([other for other in range(1, LOTS + 1) if other not in (lot, LENT)])
            self.write(day, self.rng.choice(["split", "merged"]), count, (lot, stage), (target, stage))

    def die(self, day: int) -> None:
        spot = self.spot(EGG, YOUNG, ADULT)
        if spot is None:
            return
        (lot, stage), count = spot
        reason = self.rng.choice(["died", "died", "died", "missing", "culled", "escaped", "dried"])
        cause = self.rng.choice(["unknown", "unknown", "ordinary", "exceptional"])
        to = (lot, DRIED) if reason == "dried" else None
        self.write(day, reason, count, (lot, stage), to, cause=cause)

    def leave(self, day: int) -> None:
        spot = self.spot(EGG, YOUNG, ADULT, DRIED)
        if spot is not None:
            place, count = spot
            reason = self.rng.choice(
                ["sold", "sold", "swapped out", "goodwill", "given away", "own use", "used as feed"]
            )
            reason = "loan returned" if place[0] == LENT and self.rng.random() < 0.7 else reason
            number = self.write(day, reason, count, place)
            if reason == "sold":
                self.back[number] = count

    def come_back(self, day: int) -> None:
        sales = [number for number, count in sorted(self.back.items()) if count > 0]
        if sales:
            sale = self.rng.choice(sales)
            event = self.book.events[sale - 1]
            count = self.rng.randint(1, self.back[sale])
            assert event.from_lot is not None
            assert event.from_stage is not None
            place = (event.from_lot, event.from_stage)
            self.back[sale] -= count
            self.write(day, "returned", count, None, place, relates_to=sale)
            self.free.discard(sale)

    def take_back(self, day: int) -> None:
        """Take back a movement of an earlier day, as of a closed year."""
        events = self.book.events
        early = [number for number in sorted(self.free) if events[number - 1].accounting_on < day]
        if not early:
            return
        number = self.rng.choice(early)
        event = events[number - 1]
        root = event.relates_to if REASONS[event.reason].cost is Cost.BROOD else number
        related = [other for other in early if other != root and events[other - 1].relates_to == root]
        family = [root, *related] if root is not None and root in early else [number]
        for one in family:
            self.book.take_back(day, one)
            self.free.discard(one)
            self.back.pop(one, None)
            undone = events[one - 1]
            if REASONS[undone.reason].cost is Cost.BACK and undone.relates_to is not None:
                self.back[undone.relates_to] += undone.count

    def tub(self, day: int) -> None:
        spot = self.spot(YOUNG, ADULT)
        if spot is not None:
            reason = self.rng.choice(["tub moved", "sexed", "sex corrected"])
            self.write(day, reason, spot[1], spot[0], spot[0])


def places(event: Event) -> dict[Place, int]:
    """What a movement does to the counts."""
    change: Counter[Place] = Counter()
    if event.from_lot is not None and event.from_stage is not None:
        change[event.from_lot, event.from_stage] -= event.count
    if event.to_lot is not None and event.to_stage is not None:
        change[event.to_lot, event.to_stage] += event.count
    return change


def state_containers(book: Book, rng: random.Random) -> None:
    """Say of some lots how many containers their animals without a label are in, and from when."""
    for number, info in book.lots.items():
        if rng.random() < 0.3:
            later = rng.randint(5, LAST_DAY)
            stated = rng.choice([3, ((2, 2), (later, 5)), ((later, 4),)])
            book.lots[number] = replace(info, containers=stated)


def change_lives(book: Book, rng: random.Random) -> None:
    """Let some breeders have another breeding life from a day on, or one only then."""
    for number in BREEDERS:
        later, info = rng.randint(2, LAST_DAY), book.lots[number]
        if rng.random() < 0.5:
            first = () if info.breeding_life_days is None else ((0, info.breeding_life_days),)
            life = (*first, (later, rng.randint(5, 80)))
            book.lots[number] = replace(info, breeding_life_days=life)  # type: ignore[arg-type]


def label_tubs(book: Book, rng: random.Random) -> None:
    """Put the animals of each movement into tubs, and take them out of tubs they are in by the end of the day."""
    tubs: dict[Place, Counter[str]] = defaultdict(Counter)
    for event in book.journal():
        labels = ["", ""]
        if event.from_lot is not None and event.from_stage is not None:
            place = (event.from_lot, event.from_stage)
            if sum(tubs[place].values()) < event.count:  # a move between tubs of animals that are gone
                book.events[event.id - 1] = replace(event, tub_from="", tub_to="")
                continue
            enough = [label for label, count in sorted(tubs[place].items()) if count >= event.count]
            if enough:
                labels[0] = rng.choice(enough)
            else:
                for label, count in sorted(tubs[place].items()):
                    if label and count:
                        book.add(event.accounting_on, "tub moved", count, place, place, tubs=(label, ""))
                        tubs[place][""] += tubs[place].pop(label)
            tubs[place][labels[0]] -= event.count
        if event.to_lot is not None and event.to_stage is not None:
            labels[1] = rng.choice(["", "", "a", "b", "c"])
            tubs[event.to_lot, event.to_stage][labels[1]] += event.count
        book.events[event.id - 1] = replace(event, tub_from=labels[0], tub_to=labels[1])


def random_book(seed: int, entries: int = 60) -> Written:
    """The journal of a seed."""
    writer = Writer(seed, entries)
    rng = random.Random(seed)
    label_tubs(writer.book, rng)
    state_containers(writer.book, rng)
    change_lives(writer.book, rng)
    return Written(writer.book, writer.method | random_sharing(rng))

"""The sharing of costs once more, the slow way: every day, every cost, every animal group, in exact fractions.

Written from the rules alone, to be compared with the engine; shares no code with it beyond the values it is given.
An allowance is kept in thousandths of an animal, rounded down where a part of it moves, as the rules say.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ledger.costs.given import CostLine, Dated, LotInfo, SharingKeys, StageFigures
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost

Pot = dict[tuple[str, int], Fraction]
"""Minor units by category and the stage at which they accrued."""


def plus(*pots: Pot) -> Pot:
    total: Pot = defaultdict(Fraction)
    for pot in pots:
        for key, amount in pot.items():
            total[key] += amount
    return dict(total)


def times(pot: Pot, factor: Fraction | int) -> Pot:
    return {key: amount * factor for key, amount in pot.items()}


def minus(pot: Pot, other: Pot) -> Pot:
    return plus(pot, times(other, -1))


def categories(pot: Pot) -> dict[str, Fraction]:
    total: dict[str, Fraction] = defaultdict(Fraction)
    for (category, _), amount in pot.items():
        total[category] += amount
    return total


def at_stage(amounts: Mapping[str, Fraction], stage: int) -> Pot:
    return {(category, stage): amount for category, amount in amounts.items()}


@dataclass
class Group:
    """Animals of one lot and stage."""

    lot: int
    stage: int
    count: int = 0
    plain: Pot = field(default_factory=dict)
    tubs: Counter[str] = field(default_factory=Counter)
    """Animals by the label of their tub."""
    lasting: dict[int, Pot] = field(default_factory=dict)
    """By the first day after it is used up."""
    entrants: int = 0
    early: int = 0
    used: int = 0

    def cost(self) -> Pot:
        return plus(self.plain, *self.lasting.values())

    def take(self, share: Fraction) -> Pot:
        taken = times(self.cost(), share)
        self.plain = times(self.plain, 1 - share)
        self.lasting = {end: times(pot, 1 - share) for end, pot in self.lasting.items()}
        return taken


@dataclass
class Done:
    """What a movement did, for the one that takes it back."""

    event: Event
    cost: Pot
    normal: int = 0
    link: tuple[int, int, int] | None = None
    brood: list[tuple[int, dict[str, Fraction]]] = field(default_factory=list)


@dataclass
class Oracle:
    """All there is to compare at the end of a day."""

    lots: Mapping[int, LotInfo]
    costs: Sequence[CostLine]
    weights: StageFigures
    losses: StageFigures
    reared: Mapping[int, int]
    specimens: frozenset[tuple[int, int]]
    to_offspring: Dated
    keys: SharingKeys
    care: Mapping[str, StageFigures]
    groups: dict[tuple[int, int], Group] = field(default_factory=dict)
    brood: dict[int, dict[str, Fraction]] = field(default_factory=dict)
    out: list[tuple[str, int | None, int | None, dict[str, Fraction]]] = field(default_factory=list)
    nobody: dict[str, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    not_used_up: dict[str, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    bought: int = 0
    reached: dict[int, tuple[int, Pot]] = field(default_factory=dict)
    done: dict[int, Done] = field(default_factory=dict)
    hatched: dict[int, Pot] = field(default_factory=dict)
    unhatched: dict[int, Group] = field(default_factory=dict)
    clutch: dict[int, tuple[dict[str, Fraction], dict[int, Fraction]]] = field(default_factory=dict)
    day: int = 0

    # --- what is so today ---------------------------------------------------------------------------------------

    def figure(self, figures: StageFigures, lot: int, stage: int) -> int | None:
        rows = figures.get((self.lots[lot].species, stage))
        if rows is None or isinstance(rows, int):
            return rows
        return next((value for day, value in reversed(rows) if day <= self.day), None)

    def on(self, dated: Dated | None, day: int, default: int | None) -> int | None:
        """A dated figure on a day."""
        if dated is None or isinstance(dated, int):
            return default if dated is None else dated
        return next((value for first, value in reversed(dated) if first <= day), default)

    def young_take(self, day: int) -> bool:
        return bool(self.on(self.to_offspring, day, 1))

    def living(self, group: Group) -> bool:
        return (self.lots[group.lot].species, group.stage) not in self.specimens

    def weight(self, group: Group, category: str = "") -> int:
        if not self.living(group):
            return 0
        weight = self.figure(self.weights, group.lot, group.stage)
        own = self.figure(self.care.get(category, {}), group.lot, group.stage)
        return group.count * (own if own is not None else 1000 if weight is None else weight)

    def in_tubs(self, group: Group) -> Fraction:
        """Tubs a group fills: of each, its part of the animals in it; without a label, of the stated containers."""
        if not self.living(group):
            return Fraction(0)
        info, filled = self.lots[group.lot], Fraction(0)
        mates = [other for other in self.groups.values() if other.lot == group.lot and self.living(other)]
        for label, count in group.tubs.items():
            if count:
                rows = ((0, info.containers),) if isinstance(info.containers, int) else ((0, 1), *info.containers)
                boxes = 1 if label else next(value for day, value in reversed(rows) if day <= self.day)
                filled += Fraction(count * boxes, sum(other.tubs[label] for other in mates))
        return filled

    def units(self, line: CostLine, group: Group) -> Fraction:
        """By which a group shares a cost today."""
        rows = self.keys.get(line.category, ())
        key = next((key for day, key in reversed(rows) if day <= self.day), "animal-days")
        return self.in_tubs(group) if key == "tub-days" else Fraction(self.weight(group, line.category))

    def breeds(self, lot: int) -> bool:
        info = self.lots[lot]
        return info.lent or any(a <= self.day and (b is None or self.day <= b) for a, b in info.breeding)

    def group(self, lot: int | None, stage: int | None) -> Group:
        assert lot is not None
        assert stage is not None
        return self.groups.setdefault((lot, stage), Group(lot, stage))

    def in_scope(self, line: CostLine, group: Group) -> bool:
        ids = line.scope.ids
        if line.scope.kind == "species":
            return self.lots[group.lot].species in ids
        if line.scope.kind == "lots":
            return group.lot in ids
        if line.scope.kind == "brood":
            return group.lot in ids and self.breeds(group.lot)
        return line.scope.kind == "all"

    # --- days ---------------------------------------------------------------------------------------------------

    def play(self, events: Sequence[Event], until: int) -> Oracle:
        starts = [event.accounting_on for event in events] + [line.first for line in self.costs]
        starts += [first for info in self.lots.values() for first, _ in info.breeding]
        for lot in self.lots:
            self.brood[lot] = defaultdict(Fraction)
        for day in range(min(starts), until + 1):
            self.day = day
            self.morning()
            today = [event for event in events if event.accounting_on == day]
            self.clutch = {}
            for event in today:
                self.movement(event, today)
            self.evening(today)
            self.night()
        self.day = until
        if not self.young_take(until):
            for lot in self.lots:
                self.end_brood(lot)
        for line in self.costs:
            days = line.last - line.first + 1
            left = min(days, max(0, line.last - until))
            self.not_used_up[line.category] += Fraction(line.amount * left, days)
        return self

    def morning(self) -> None:
        if self.young_take(self.day - 1) != self.young_take(self.day):
            for lot in self.lots:
                self.end_brood(lot)
        for lot, info in self.lots.items():
            self.another_life(lot, info)
            if info.lent:
                continue
            now = self.breeds(lot)
            started = any(first == self.day for first, _ in info.breeding)
            stopped = any(last == self.day - 1 for _, last in info.breeding)
            for group in [group for group in self.groups.values() if group.lot == lot]:
                if stopped:
                    group.plain, group.lasting = group.cost(), {}
                if started:
                    cost, group.plain = group.plain, {}
                    self.bring(group, cost)
            if stopped:
                self.end_brood(lot)
            assert now or not (started and not now)

    def another_life(self, lot: int, info: LotInfo) -> None:
        """What is left of the breeders is used up by the new end; of those without a life before, from today."""
        before, now = (self.on(info.breeding_life_days, day, None) for day in (self.day - 1, self.day))
        if (
            now is None
            or before == now
            or not any(a < self.day and (b is None or self.day <= b) for a, b in info.breeding)
        ):
            return
        for group in [group for group in self.groups.values() if group.lot == lot and self.living(group)]:
            if before is None:
                cost, group.plain = group.plain, {}
                self.bring(group, cost)
            else:
                parts, group.lasting = group.lasting, {}
                for end, pot in parts.items():
                    self.bring(group, pot, max(end + now - before, self.day + 1))

    def evening(self, today: Sequence[Event]) -> None:
        for number, cost in self.hatched.items():
            if any(cost.values()):
                event = next(event for event in today if event.id == number)
                self.out.append(("written off", number, event.from_lot, categories(cost)))
        self.hatched = {}
        for lot in self.lots:
            alive = any(g.count for g in self.groups.values() if g.lot == lot and self.living(g))
            if not alive or not self.breeds(lot):
                self.end_brood(lot)

    def night(self) -> None:
        """The day's costs fall on those present at its end."""
        for line in self.costs:
            if not line.first <= self.day <= line.last:
                continue
            amount = Fraction(line.amount, line.last - line.first + 1)
            members = [group for group in self.groups.values() if self.in_scope(line, group)]
            total = sum(self.units(line, group) for group in members)
            if total == 0:
                self.nobody[line.category] += amount
                continue
            for group in members:
                part = amount * self.units(line, group) / total
                if self.breeds(group.lot):
                    self.brood[group.lot][line.category] += part
                else:
                    group.plain = plus(group.plain, {(line.category, group.stage): part})
        for group in self.groups.values():
            for end, pot in list(group.lasting.items()):
                used = times(pot, Fraction(1, end - self.day))
                group.lasting[end] = minus(pot, used)
                for category, amount in categories(used).items():
                    self.brood[group.lot][category] += amount
                if end - self.day == 1:
                    del group.lasting[end]

    def end_brood(self, lot: int) -> None:
        if any(self.brood[lot].values()):
            self.out.append(("ended", None, lot, self.brood[lot]))
        self.brood[lot] = defaultdict(Fraction)

    # --- movements ----------------------------------------------------------------------------------------------

    def bring(self, group: Group, cost: Pot, end: int | None = None) -> None:
        life = self.on(self.lots[group.lot].breeding_life_days, self.day, None)
        if self.breeds(group.lot) and life is not None and self.living(group):
            end = self.day + life if end is None else end
            if any(cost.values()):
                group.lasting[end] = plus(group.lasting.get(end, {}), cost)
        else:
            group.plain = plus(group.plain, cost)

    def movement(self, event: Event, today: Sequence[Event]) -> None:
        effect = REASONS[event.reason].cost
        if event.from_lot is not None:
            self.group(event.from_lot, event.from_stage).tubs[event.tub_from] -= event.count
        if event.to_lot is not None:
            self.group(event.to_lot, event.to_stage).tubs[event.tub_to] += event.count
        if event.reverses is not None:
            self.take_back(event)
        elif event.from_lot is None:
            self.arrival(event, effect, today)
        elif effect in (Cost.DEATH, Cost.DRIED):
            self.death(event)
        elif event.to_lot is None:
            self.exit(event, effect)
        elif (event.from_lot, event.from_stage) != (event.to_lot, event.to_stage):
            self.move(event)

    def arrival(self, event: Event, effect: Cost, today: Sequence[Event]) -> None:
        group = self.group(event.to_lot, event.to_stage)
        info = self.lots[group.lot]
        done = Done(event, {})
        if effect is Cost.PRICE:
            self.bought += event.value or 0
            done.cost = {("animals", group.stage): Fraction(event.value or 0)}
        elif effect is Cost.BROOD and event.relates_to is not None:
            if event.relates_to in self.hatched:
                later = [e for e in today if e.relates_to == event.relates_to and e.reverses is None]
                waiting = later[[e.id for e in later].index(event.id) :]
                share = Fraction(event.count, sum(e.count for e in waiting))
                done.cost = times(self.hatched[event.relates_to], share)
                self.hatched[event.relates_to] = minus(self.hatched[event.relates_to], done.cost)
                if share == 1:
                    del self.hatched[event.relates_to]
        elif effect is Cost.BROOD and self.young_take(self.day):
            for mother in info.mothers:
                part = self.brood_share(mother, event, today)
                done.brood.append((mother, part))
                done.cost = plus(done.cost, at_stage(part, group.stage))
        elif effect is Cost.BACK and event.relates_to is not None:
            sale = self.done[event.relates_to]
            done.cost = times(sale.cost, Fraction(event.count, sale.event.count))
            self.out.append(("left", event.id, group.lot, categories(times(done.cost, -1))))
        self.bring(group, done.cost)
        group.count += event.count
        group.entrants += 1000 * event.count
        self.done[event.id] = done

    def brood_share(self, mother: int, event: Event, today: Sequence[Event]) -> dict[str, Fraction]:
        """The pool as the first clutch of the day finds it, by stated weight or count, then by count within a lot."""
        if mother not in self.clutch:
            counts: dict[int, int] = defaultdict(int)
            for other in today:
                reason = REASONS[other.reason]
                young = reason.cost is Cost.BROOD and other.relates_to is None and other.reverses is None
                if young and other.to_lot is not None and mother in self.lots[other.to_lot].mothers:
                    counts[other.to_lot] += other.count
            weights = {}
            for lot, count in counts.items():
                stated = self.lots[lot].brood_share
                weights[lot] = Fraction(count if stated is None else stated, count)
            total = sum(weights[lot] * count for lot, count in counts.items())
            self.clutch[mother] = dict(self.brood[mother]), {lot: w / total for lot, w in weights.items()}
            self.brood[mother] = defaultdict(Fraction)
        pool, each = self.clutch[mother]
        assert event.to_lot is not None
        return {category: amount * each[event.to_lot] * event.count for category, amount in pool.items()}

    def move(self, event: Event) -> None:
        source = self.group(event.from_lot, event.from_stage)
        target = self.group(event.to_lot, event.to_stage)
        k, n = event.count, source.count
        share = Fraction(k, n)
        done = Done(event, times(source.cost(), share))
        if source.lot != target.lot and self.breeds(source.lot) and self.breeds(target.lot):
            all_living = sum(g.count for g in self.groups.values() if g.lot == source.lot and self.living(g))
            part = {c: amount * Fraction(k, all_living) for c, amount in self.brood[source.lot].items()}
            self.shift_brood(source.lot, target.lot, part)
            done.brood.append((source.lot, part))
        self.bring(target, times(source.plain, share))
        for end, pot in source.lasting.items():
            self.bring(target, times(pot, share), end)
        source.take(share)
        if source.stage == target.stage:
            done.link = (source.entrants * k // n, source.early * k // n, source.used * k // n)
            self.shift_allowance(source, target, done.link)
        else:
            target.entrants += 1000 * k
            self.reach(source, target, k, done.cost)
        source.count -= k
        target.count += k
        self.done[event.id] = done

    def shift_brood(self, source: int, target: int, part: Mapping[str, Fraction]) -> None:
        for category, amount in part.items():
            self.brood[source][category] -= amount
            self.brood[target][category] += amount

    def shift_allowance(self, source: Group, target: Group, link: tuple[int, int, int]) -> None:
        source.entrants, target.entrants = source.entrants - link[0], target.entrants + link[0]
        source.early, target.early = source.early - link[1], target.early + link[1]
        source.used, target.used = source.used - link[2], target.used + link[2]

    def reach(self, source: Group, target: Group, k: int, cost: Pot) -> None:
        reared = self.reared.get(self.lots[source.lot].species)
        if reared is None or not self.living(target):
            return
        if source.stage < reared <= target.stage:
            count, sofar = self.reached.get(source.lot, (0, {}))
            self.reached[source.lot] = count + k, plus(sofar, cost)
        elif target.stage < reared <= source.stage:
            count, sofar = self.reached.get(target.lot, (0, {}))
            self.reached[target.lot] = count - k, minus(sofar, cost)

    def exit(self, event: Event, effect: Cost) -> None:
        group = self.group(event.from_lot, event.from_stage)
        cost = group.take(Fraction(event.count, group.count))
        group.count -= event.count
        self.done[event.id] = Done(event, cost)
        if effect is Cost.HATCH:
            self.hatched[event.id] = cost
            self.done[event.id].cost = {}
        else:
            group.early += 1000 * event.count
            self.out.append(("left", event.id, group.lot, categories(cost)))

    def death(self, event: Event) -> None:
        group = self.group(event.from_lot, event.from_stage)
        k, n = event.count, group.count
        rate = self.figure(self.losses, group.lot, group.stage) if self.living(group) else None
        if event.cause == "exceptional":
            normal = 0
        elif event.cause == "ordinary" or rate is None:
            normal = 1000 * k
        else:
            allowance = (rate * (group.entrants - group.early)) // 1_000_000
            normal = max(0, min(allowance - group.used, 1000 * k))
        group.used += normal
        beyond = Fraction(1) if k == n else Fraction(1000 * k - normal, 1000 * n - normal)
        cost = group.take(beyond)
        group.count -= k
        if any(cost.values()):
            self.out.append(("written off", event.id, group.lot, categories(cost)))
        if event.to_lot is not None:
            specimens = self.group(event.to_lot, event.to_stage)
            specimens.count += k
            specimens.entrants += 1000 * k
        self.done[event.id] = Done(event, cost, normal=normal)

    # --- taking back --------------------------------------------------------------------------------------------

    def take_up_to(self, group: Group, wanted: Pot, k: int) -> Pot:
        """By category, plain cost first, then the lasting parts that end first; all with the last animals."""
        if k == group.count:
            return group.take(Fraction(1))
        want = categories(wanted)
        taken: Pot = {}

        def draw(pot: Pot) -> Pot:
            nonlocal taken
            have = categories(pot)
            part = {}
            for (category, stage), amount in pot.items():
                give = max(Fraction(0), min(want.get(category, Fraction(0)), have[category]))
                part[category, stage] = amount * give / have[category] if have[category] else Fraction(0)
            for (category, _), amount in part.items():
                want[category] -= amount
            taken = plus(taken, part)
            return minus(pot, part)

        group.plain = draw(group.plain)
        for end in sorted(group.lasting):
            group.lasting[end] = draw(group.lasting[end])
        return taken

    def take_back(self, event: Event) -> None:
        assert event.reverses is not None
        if event.from_lot is not None and (event.from_lot, event.from_stage) == (event.to_lot, event.to_stage):
            return
        done = self.done[event.reverses]
        effect = REASONS[done.event.reason].cost
        k = event.count
        if event.from_lot is None:
            group = self.group(event.to_lot, event.to_stage)
            if effect is Cost.HATCH:
                self.unhatched[done.event.id] = group
            elif effect is Cost.DEATH:
                group.used -= done.normal
                if any(done.cost.values()):
                    self.out.append(("written off", event.id, group.lot, categories(times(done.cost, -1))))
            else:
                group.early -= 1000 * k
                self.out.append(("left", event.id, group.lot, categories(times(done.cost, -1))))
            self.bring(group, done.cost)
            group.count += k
        elif event.to_lot is None:
            self.undo_arrival(event, done, effect)
        else:
            self.undo_move(event, done, effect)

    def undo_arrival(self, event: Event, done: Done, effect: Cost) -> None:
        group = self.group(event.from_lot, event.from_stage)
        gone = self.take_up_to(group, done.cost, event.count)
        group.count -= event.count
        group.entrants -= 1000 * event.count
        objects = self.unhatched.get(done.event.relates_to or 0)
        if effect is Cost.BACK:
            self.out.append(("left", event.id, group.lot, categories(gone)))
            return
        if objects is not None and objects.count:
            self.bring(objects, gone)
            return
        rest = categories(gone)
        if effect is Cost.PRICE:
            self.bought -= done.event.value or 0
            rest["animals"] -= done.event.value or 0
        for mother, part in done.brood:
            for category, amount in part.items():
                self.brood[mother][category] += amount
                rest[category] -= amount
        if any(rest.values()):
            self.out.append(("written off", event.id, group.lot, rest))

    def undo_move(self, event: Event, done: Done, effect: Cost) -> None:
        source = self.group(event.from_lot, event.from_stage)
        target = self.group(event.to_lot, event.to_stage)
        k = event.count
        if effect is Cost.DRIED:
            gone = self.take_up_to(source, {}, k)
            source.entrants -= 1000 * k
            target.used -= done.normal
            if any(done.cost.values()):
                self.out.append(("written off", event.id, target.lot, categories(times(done.cost, -1))))
            self.bring(target, done.cost)
        else:
            gone = self.take_up_to(source, done.cost, k)
            if done.link is not None:
                self.shift_allowance(source, target, done.link)
            else:
                source.entrants -= 1000 * k
                self.reach(source, target, k, gone)
            for home, part in done.brood:
                there = self.brood[source.lot]
                back = {c: max(Fraction(0), min(amount, there[c])) for c, amount in part.items()}
                self.shift_brood(source.lot, home, back)
        self.bring(target, gone)
        source.count -= k
        target.count += k

"""Who may be the parents of a lot's young, and whether a mother may have mated before she came here.

Rests only on recorded facts: nothing is inferred from animals sharing a tub. An animal is followed back through tub
moves, splits and merges; where the records do not say which one it was, every one it may have been is considered.
The young of a female that mated in the wild are not captive bred (CITES Notification to the Parties 1998/14, 3).
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from ledger.origin.facts import (
    BORN_HERE,
    FROM_OTHERS,
    AnimalRef,
    Answer,
    Arrival,
    Exposure,
    LotFacts,
    SpeciesFacts,
    VirginFact,
)
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class Window:
    """Days on which the young may have been conceived; None: open on that side."""

    start: dt.date | None
    end: dt.date | None

    def meets(self, from_on: dt.date | None, to_on: dt.date | None) -> bool:
        """Whether a stay from one day to another (None: open) touches the window."""
        starts_in_time = from_on is None or self.end is None or from_on <= self.end
        ends_late_enough = to_on is None or self.start is None or to_on >= self.start
        return starts_in_time and ends_late_enough


@dataclass(frozen=True, slots=True)
class Father:
    """A possible father of a mother's young."""

    animal: AnimalRef | None
    """None: a male that is not in the records."""
    why: str
    witnessed: bool = False
    dated: bool = False
    by_name_only: bool = False
    """Named by the keeper, without an exposure."""


@dataclass(frozen=True, slots=True)
class MotherFindings:
    """What the records say of one possible mother."""

    mother: AnimalRef
    fathers: tuple[Father, ...]
    earlier: tuple[tuple[int, Arrival], ...]
    """(lot, arrival) after which she may have come already mated, the mating still able to father these young."""
    came_later: bool
    """The whole of her lot came only after the young were laid: she cannot be the mother."""


@dataclass(frozen=True, slots=True)
class _Step:
    """A lot an animal was in: which tubs it may have been in (None: any), and until when."""

    lot_id: int
    tubs: frozenset[str] | None
    until: dt.date | None
    answered: frozenset[tuple[int, str]]
    """(lot, named tub) on the way from the animal's own lot to this one where a virgin fact is on record."""


@dataclass(slots=True)
class Book:
    """All facts, indexed for look-up."""

    lots: Mapping[int, LotFacts]
    species: Mapping[int, SpeciesFacts]
    _exposures: dict[int, list[tuple[AnimalRef, AnimalRef | None, Exposure]]] = field(default_factory=dict)
    """By lot of the mother: (mother, father, row)."""
    _virgin: dict[int, dict[str, Answer]] = field(default_factory=dict)
    """By lot, then tub: the latest answer."""

    @classmethod
    def of(
        cls,
        lots: Mapping[int, LotFacts],
        exposures: Iterable[Exposure],
        virgin_facts: Iterable[VirginFact],
        species: Mapping[int, SpeciesFacts],
    ) -> Book:
        """Index the facts. `exposures` and `virgin_facts` in the order they were recorded."""
        pairs: dict[int, list[tuple[AnimalRef, AnimalRef | None, Exposure]]] = defaultdict(list)
        for row in exposures:
            pairs[row.female.lot_id].append((row.female, row.male, row))
            if row.male is not None and species[lots[row.male.lot_id].species_id].hermaphrodite:
                pairs[row.male.lot_id].append((row.male, row.female, row))
        answers: dict[int, dict[str, Answer]] = defaultdict(dict)
        for fact in sorted(virgin_facts, key=lambda fact: fact.on):
            answers[fact.animal.lot_id][fact.animal.tub] = fact.answer
        return cls(lots, species, dict(pairs), dict(answers))

    def name(self, animal: AnimalRef) -> str:
        """'H01' or 'H01 tub f05'."""
        code = self.lots[animal.lot_id].code
        return say("{code} tub {tub}", code=code, tub=animal.tub) if animal.tub else code

    def mothers(self, lot: LotFacts) -> tuple[AnimalRef, ...]:
        """The recorded mothers; of animals harvested from a colony without any, the colony."""
        colonies = tuple(AnimalRef(source.lot_id) for source in lot.sources if source.how == "harvested")
        return lot.mothers or colonies

    def window(self, lot: LotFacts) -> Window:
        """When the young of a lot may have been conceived: from as long before laying as sperm is kept, to laying."""
        first = lot.laid_from or lot.laid_to
        kept = self.species[lot.species_id].stored_sperm_days
        start = None if first is None or kept is None else first - dt.timedelta(days=kept)
        here = BORN_HERE | {"harvested"}
        came = [one.on for one in lot.arrivals if one.on is not None and one.kind in here]
        return Window(start, lot.laid_to or lot.laid_from or lot.hatched_to or max(came, default=None))

    def _steps(self, animal: AnimalRef) -> list[_Step]:
        """The animal's own lot, then the lots it was split off or merged from, as far back as recorded."""
        tubs = frozenset({animal.tub}) if animal.tub else frozenset[str]()
        todo = [self._step(animal.lot_id, tubs, None, frozenset())]
        steps: dict[_Step, None] = {}
        while todo:
            step = todo.pop()
            if step not in steps:
                steps[step] = None
                todo.extend(reversed(self._earlier(step)))
        return list(steps)

    def _step(
        self, lot_id: int, tubs: frozenset[str], until: dt.date | None, answered: frozenset[tuple[int, str]]
    ) -> _Step:
        """A step into a lot by the tubs the animal was known in there (none: any), widened by moves between tubs."""
        (named,) = tubs if len(tubs) == 1 else ("",)
        reach = set(tubs)
        size = 0
        while tubs and size != len(reach):
            size = len(reach)
            reach.update(old for old, new in self.lots[lot_id].tub_moves if new in reach)
        if lot_id in self._virgin:
            answered |= {(lot_id, named)}
        return _Step(lot_id, frozenset(reach) if tubs else None, until, answered)

    def _earlier(self, step: _Step) -> list[_Step]:
        lot = self.lots[step.lot_id]
        grown = [one.reared is not False for one in lot.arrivals if one.kind == "harvested"]
        sources = [one for one in lot.sources if one.how != "harvested" or not grown or any(grown)]
        tubs = {
            source: frozenset(old for old, new in source.tubs if step.tubs is None or new in step.tubs)
            for source in sources
        }
        if step.tubs is not None and any(tubs.values()):
            sources = [source for source in sources if tubs[source]]
        return [
            self._step(
                source.lot_id,
                tubs[source] or frozenset(old for old, _ in source.tubs),
                min((day for day in (source.on, step.until) if day is not None), default=None),
                step.answered,
            )
            for source in sources
        ]

    def lots_behind(self, animal: AnimalRef) -> set[int]:
        """Lots the animal was in, its own included."""
        return {step.lot_id for step in self._steps(animal)}

    def find(self, lot: LotFacts, mother: AnimalRef) -> MotherFindings:
        """Possible fathers of the mother's young in `lot`, and matings she may have brought with her."""
        window = self.window(lot)
        fathers = [father for step in self._steps(mother) for father in self._exposed(step, window)]
        fathers += [
            Father(AnimalRef(source.lot_id), say("lives in the same colony"))
            for source in lot.sources
            if source.how == "harvested" and source.lot_id == mother.lot_id
        ]
        fathers += [
            Father(animal, say("named as the father, no pairing on record"), by_name_only=True)
            for animal in lot.stated_fathers
        ]
        earlier: list[tuple[int, Arrival]] = []
        here_in_time = False
        came: list[Arrival] = []
        for step in self._steps(mother):
            for arrival in self._arrivals(step):
                outside = arrival.kind in FROM_OTHERS or arrival.kind == "collected"
                too_late = outside and window.end is not None and arrival.on is not None and arrival.on > window.end
                came.append(arrival)
                here_in_time |= not too_late
                still_open = arrival.on is None or window.start is None or arrival.on >= window.start
                if outside and not too_late and still_open and self._may_have_mated(step, arrival):
                    earlier.append((step.lot_id, arrival))
        return MotherFindings(mother, tuple(dict.fromkeys(fathers)), tuple(earlier), bool(came) and not here_in_time)

    def _exposed(self, step: _Step, window: Window) -> list[Father]:
        found = []
        for female, male, row in self._exposures.get(step.lot_id, ()):
            if step.tubs is not None and female.tub and female.tub not in step.tubs:
                continue
            if step.until is not None and row.from_on is not None and row.from_on > step.until:
                continue
            to_on = min((day for day in (row.to_on, step.until) if day is not None), default=None)
            if window.meets(row.from_on, to_on):
                first = str(row.from_on) if row.from_on else say("a day not on record")
                days = (
                    say("from {first} to {last}", first=first, last=str(to_on))
                    if to_on
                    else say("from {first} on", first=first)
                )
                seen = say(", mating seen") if row.witnessed else ""
                why = say("with {female} {days}{seen}", female=self.name(female), days=days, seen=seen)
                found.append(Father(male, why, row.witnessed, row.from_on is not None))
        return found

    def _arrivals(self, step: _Step) -> list[Arrival]:
        """Arrivals the animal may be one of; a female must be able to be."""
        lot = self.lots[step.lot_id]
        known = list(lot.arrivals)
        if not known and not lot.sources:
            known = [Arrival("opening")]
        matching = [one for one in known if step.tubs is None or one.tub in step.tubs] or known
        return [one for one in matching if one.sex != "male"]

    def _may_have_mated(self, step: _Step, arrival: Arrival) -> bool:
        """An animal that came before its reared stage cannot have mated, unless it is recorded as no virgin."""
        answers = self._answers(step, arrival)
        if "no" in answers:
            return True
        return "yes" not in answers and arrival.reared is not False

    def _answers(self, step: _Step, arrival: Arrival) -> set[Answer]:
        """Answers that bear on an arrival: of its tub before those of its whole lot, in each lot it was in."""
        bearing: set[Answer] = set()
        for lot_id, named in step.answered:
            known = self._virgin[lot_id]
            tubs = {named, arrival.tub if lot_id == step.lot_id else ""} - {""}
            own = {known[tub] for tub in tubs if tub in known}
            bearing |= own or {answer for tub, answer in known.items() if not tub}
        if step.tubs is None and not arrival.tub:
            arrived = {one.tub for one in self.lots[step.lot_id].arrivals}
            known = self._virgin.get(step.lot_id, {})
            bearing |= {answer for tub, answer in known.items() if answer == "no" and tub not in arrived}
        return bearing


def born(lot: LotFacts) -> bool:
    """Whether the lot has young that were laid or hatched here."""
    return any(one.kind in BORN_HERE for one in lot.arrivals)

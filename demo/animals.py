"""The animals of the demo: each with its stage, sex, tub and what will become of it. Draws, but records nothing."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from demo.parameters import Step


@dataclass(slots=True)
class Animal:
    """One animal. Days are ordinals."""

    step: int
    sex: str = "unsexed"
    tub: str = ""
    due: int = 0
    """When something happens to it next."""
    dies: bool = False
    reserved: bool = False
    """Sold and waiting to be posted, held, or kept: not for sale."""
    still: bool = False
    """Nothing happens to it for now."""


@dataclass(slots=True)
class Group:
    """A lot as the demo plays it."""

    code: str
    species: str
    steps: tuple[Step, ...]
    every: int
    """Days between checks."""
    offset: int
    animals: list[Animal] = field(default_factory=list)
    breeding: bool = False
    survival: dict[str, float] = field(default_factory=dict)
    """Survival of single stages of this lot, where something went wrong."""
    keeps_sex: bool = False
    all_female: bool = False

    def stage(self, animal: Animal) -> str:
        return self.steps[animal.step].stage

    def step_of(self, stage: str) -> int:
        return next(place for place, step in enumerate(self.steps) if step.stage == stage)

    def alive(self, stage: str, sex: str | None = None) -> list[Animal]:
        """Animals of a stage that are free, oldest in the stage first as far as that can be told."""
        step = self.step_of(stage)
        return [a for a in self.animals if a.step == step and not a.reserved and sex in (None, a.sex)]


class Fate:
    """Draws what becomes of animals."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)

    def settle(self, group: Group, animal: Animal, day: int) -> None:
        """Decide when and how an animal leaves the stage it has just entered."""
        step = group.steps[animal.step]
        length = self.draw.randint(step.low, step.high)
        survives = self.draw.random() < group.survival.get(step.stage, step.survival)
        animal.dies = not survives
        last = animal.step == len(group.steps) - 1
        animal.due = day + (length if survives or last else max(1, round(length * self.draw.uniform(0.1, 1.0))))

    def add(
        self, group: Group, stage: str, count: int, day: int, *, sex: str = "unsexed", tub: str = "", part: float = 0.0
    ) -> list[Animal]:
        """Put animals into a group; `part`: how much of the stage they have behind them already."""
        added = []
        for _ in range(count):
            animal = Animal(group.step_of(stage), sex, tub)
            self.settle(group, animal, day)
            if part:
                animal.due = day + max(2, round((animal.due - day) * (1 - part)))
            group.animals.append(animal)
            added.append(animal)
        return added


Moved = Counter[tuple[str, str, str, str, str]]
"""Stage, sex, tub, next stage, next sex -> animals."""
Died = Counter[tuple[str, str, str, bool]]
"""Stage, sex, tub, of old age -> animals."""


def check(group: Group, fate: Fate, day: int) -> tuple[Moved, Died]:
    """What a check of a group on a day finds; the animals are moved on accordingly."""
    moved: Moved = Counter()
    died: Died = Counter()
    for animal in list(group.animals):
        if animal.still or animal.due > day:
            continue
        stage = group.stage(animal)
        last = animal.step == len(group.steps) - 1
        if animal.dies or last:
            died[stage, animal.sex, animal.tub, last] += 1
            group.animals.remove(animal)
            continue
        sex = animal.sex
        animal.step += 1
        if sex == "unsexed" and group.stage(animal) == "adult" and not group.keeps_sex:
            animal.sex = "female" if group.all_female or fate.draw.random() < 0.5 else "male"
        fate.settle(group, animal, day)
        moved[stage, sex, animal.tub, group.stage(animal), animal.sex] += 1
    return moved, died


def take(group: Group, animals: Iterable[Animal]) -> None:
    """Animals leave the group for good."""
    gone = {id(animal) for animal in animals}
    group.animals = [animal for animal in group.animals if id(animal) not in gone]


Event = Callable[[], object]
"""Something that happens on a fixed day."""

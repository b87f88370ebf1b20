"""Species templates that ship with the program: stages, days, weights, cautions, and the source of each.

One TOML file each in `templates/`, its name being the key. Reads and checks them, and nothing else: taking a
template into a ledger is done elsewhere. A figure without a published source says "planning guess" or "common
practice, no source"; survival is nearly always a guess, to be replaced by the keeper's own closed lots.
"""

import functools
import importlib.resources
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from typing import Any, Literal, cast

from ledger.errors import NotFound
from ledger.text import quoted
from ledger.wording import say, strung

Unit = Literal["animal", "object", "specimen"]
Sex = Literal["male", "female", "hermaphrodite", "unsexed"]
Sources = tuple[tuple[str, str], ...]

_KEY = re.compile(r"(?=.{1,60}\Z)[a-z0-9]+(?:-[a-z0-9]+)*")

FULL_CARE = 1000
"""Care weight, in thousandths, of an animal that takes a full share of feed and substrate."""


@dataclass(frozen=True, slots=True)
class StageTemplate:
    """One life stage. A figure of None is not known, which is never the same as nought."""

    name: str
    unit: Unit
    """animal: counted singly; object: an ootheca, sac or clutch, young uncounted; specimen: dead."""
    saleable: bool
    do_not_post: bool
    hardening_days: int | None
    """Days in the stage before an animal should be sold."""
    days_low: int | None
    days_high: int | None
    """Usual days in the stage; both or neither. Equal where the source gives one figure."""
    temperature_note: str
    """What the days rest on; a cool room can double them. Empty where nothing is published."""
    planning_survival: int | None
    """Share that passes on to the next stage, in millionths."""
    care_weight: int
    """Share of feed and substrate beside a full-fed animal of the species, in thousandths."""
    sources: Sources
    """Pairs of a figure (days, hardening days, planning survival, care weight) and where it comes from."""

    @property
    def source(self) -> str:
        """All sources of the stage in one line."""
        return "; ".join(f"{figure}: {source}" for figure, source in self.sources)


@dataclass(frozen=True, slots=True)
class SpeciesTemplate:
    """A species, or a whole group of them, as a keeper may take it over and then change it."""

    key: str
    scientific: str
    """Empty for a group."""
    common: str
    group: str
    stages: tuple[StageTemplate, ...]
    """In order of life."""
    reared: str
    """Name of the stage that counts as reared."""
    stored_sperm_days: int | None
    """How long after mating a female may still bear young of it; None is not known, never nought."""
    parthenogenetic: bool
    """Whether females may breed without a male."""
    breeding_life_days: int | None
    sexes: tuple[Sex, ...]
    caution: str
    """What to check before keeping, selling or sending; no caution does not mean it is allowed."""
    sources: Sources
    """Pairs of a figure (stored sperm days, breeding life days, without mating) and where it comes from."""
    notes: tuple[str, ...]
    """Other published facts, each with its source."""

    def stage(self, name: str) -> StageTemplate:
        """Return the stage of that name. Raises NotFound."""
        for stage in self.stages:
            if stage.name == name:
                return stage
        names = ", ".join(stage.name for stage in self.stages)
        raise NotFound(
            f"{self.common} has no stage {quoted(name)}; its stages are {names}.",
            field="stage",
            facts={"text": name, "template": self.key},
        )


@functools.cache
def templates() -> tuple[SpeciesTemplate, ...]:
    """Return every template in order of its key, groups among them. Raises ValueError for a faulty file."""
    keys = sorted(file.name.removesuffix(".toml") for file in _folder().iterdir() if file.name.endswith(".toml"))
    return tuple(_shipped(key) for key in keys)


def template(key: str) -> SpeciesTemplate:
    """Return the template of that key, in any case. Raises NotFound, with near matches in `facts`."""
    wanted = key.strip().lower()
    # The pattern keeps what was typed from naming a file elsewhere.
    if _KEY.fullmatch(wanted) and _folder().joinpath(f"{wanted}.toml").is_file():
        return _shipped(wanted)
    near = _near(wanted) or tuple(one.key for one in matching(wanted) if wanted)
    every = strung((one.key for one in templates() if one.key.startswith("group-")), ", ")
    hint = (
        say("did you mean {near}?", near=strung(near, say(" or ")))
        if near
        else say("one of a group always fits: {templates}.", templates=every)
    )
    raise NotFound(
        say("No species template is called {typed}; {hint}", typed=quoted(key), hint=hint),
        field="template",
        facts={"text": key, "near": near},
    )


_ALSO_CALLED = {
    "group-isopod": "isopods woodlice pill bug dairy cow porcellio laevis armadillidium cubaris",
    "group-stick-insect": "phasmid stick insects leaf insect walking stick phyllium carausius",
    "group-beetle": "flower beetle chafer fruit beetle rhino stag",
    "large-dynastine": "hercules rhino dynastes",
    "group-mantid": "mantis mantids praying",
    "group-tarantula": "spider tarantulas",
    "group-land-snail": "snails",
    "group-egg-laying-reptile": "gecko lizard",
    "group-livebearing-fish": "fish platy molly livebearer",
    "group-darkling-beetle": "mealworm superworm",
}
"""Other common words for what a template may be taken for, so that a search for them finds it."""


def matching(words: str) -> tuple[SpeciesTemplate, ...]:
    """Templates that have all of some words in their names, group or what else they are called; all for no words."""
    wanted = words.casefold().split()

    def called(one: SpeciesTemplate) -> str:
        return f"{one.key} {one.common} {one.scientific} {one.group} {_ALSO_CALLED.get(one.key, '')}".casefold()

    return tuple(one for one in templates() if all(word in called(one) for word in wanted))


def _folder() -> Traversable:
    return importlib.resources.files("ledger.stock").joinpath("templates")


def _shipped(key: str) -> SpeciesTemplate:
    return read_template(key, _folder().joinpath(f"{key}.toml").read_text("utf-8"))


def read_template(key: str, toml: str) -> SpeciesTemplate:
    """Read one template from the text of its file.

    Raises ValueError naming the template and what is wrong: an unknown or missing word, a figure without a
    source, or a stage list that does not hold together.
    """
    try:
        return _species(key, tomllib.loads(toml))
    except (KeyError, TypeError, ValueError) as wrong:
        raise ValueError(f"template {key}: {wrong}") from wrong


def _species(key: str, table: Mapping[str, Any]) -> SpeciesTemplate:
    _only_known(table, _SPECIES_WORDS)
    temperature = _text(table.get("temperature", ""))
    stages = tuple(_stage(stage, temperature) for stage in table["stages"])
    names = [stage.name for stage in stages]
    if len(set(names)) != len(names):
        raise ValueError("two stages share a name")
    if table["reared"] not in names:
        raise ValueError(f"the reared stage {table['reared']!r} is not in the list")
    sexes = tuple(table["sexes"])
    if not sexes or not set(sexes) <= {"male", "female", "hermaphrodite", "unsexed"}:
        raise ValueError(f"sexes {sexes} are not known")
    figures = _Figures(table)
    parthenogenetic = figures.flag("without_mating")
    return SpeciesTemplate(
        key=key,
        scientific=_text(table["scientific"]),
        common=_text(table["common"]),
        group=_text(table["group"]),
        stages=stages,
        reared=table["reared"],
        stored_sperm_days=figures.whole("stored_sperm_days"),
        parthenogenetic=parthenogenetic,
        breeding_life_days=figures.whole("breeding_life_days"),
        sexes=sexes,
        caution=_text(table["caution"]),
        sources=tuple(figures.sources),
        notes=tuple(_text(note) for note in table.get("notes", ())),
    )


def _stage(table: Mapping[str, Any], temperature: str) -> StageTemplate:
    _only_known(table, _STAGE_WORDS)
    unit = table.get("unit", "animal")
    if unit not in ("animal", "object", "specimen"):
        raise ValueError(f"unit {unit!r} is not known")
    figures = _Figures(table)
    low, high = figures.window("days")
    hardening = figures.whole("hardening_days")
    survival = figures.whole("planning_survival", most=1_000_000)
    weight = figures.whole("care_weight")
    stage = StageTemplate(
        name=_text(table["name"]),
        unit=cast(Unit, unit),
        saleable=_yes_or_no(table.get("saleable", False)),
        do_not_post=_yes_or_no(table.get("do_not_post", False)),
        hardening_days=hardening,
        days_low=low,
        days_high=high,
        temperature_note=_text(table.get("temperature", temperature)),
        planning_survival=survival,
        care_weight=FULL_CARE if weight is None else weight,
        sources=tuple(figures.sources),
    )
    if unit == "specimen" and stage.care_weight != 0:
        raise ValueError(f"{stage.name} is dead and takes no care: its care weight is 0")
    return stage


class _Figures:
    """Reads the figures of one table and insists that each has `<figure>_source` beside it."""

    def __init__(self, table: Mapping[str, Any]) -> None:
        self._table = table
        self.sources: list[tuple[str, str]] = []

    def whole(self, name: str, *, most: int = 100_000) -> int | None:
        value = self._sourced(name)
        return None if value is None else _whole(value, name, most)

    def window(self, name: str) -> tuple[int, int] | tuple[None, None]:
        value = self._sourced(name)
        if value is None:
            return None, None
        low, high = (_whole(days, name, 100_000) for days in value)
        if high < low:
            raise ValueError(f"{name} run from {low} back to {high}")
        return low, high

    def flag(self, name: str) -> bool:
        return _yes_or_no(self._sourced(name) or False)

    def _sourced(self, name: str) -> Any:
        source = self._table.get(f"{name}_source")
        if (name in self._table) != (source is not None):
            raise ValueError(f"{name} and {name}_source go together")
        if source is not None:
            self.sources.append((name.replace("_", " "), _text(source, least=1)))
        return self._table.get(name)


_STAGE_FIGURES = ("days", "hardening_days", "planning_survival", "care_weight")
_SPECIES_FIGURES = ("stored_sperm_days", "breeding_life_days", "without_mating")
_STAGE_WORDS = {
    "name", "unit", "saleable", "do_not_post", "temperature",
    *_STAGE_FIGURES, *(f"{figure}_source" for figure in _STAGE_FIGURES),
}  # fmt: skip
_SPECIES_WORDS = {
    "scientific", "common", "group", "reared", "sexes", "temperature", "caution", "notes", "stages",
    *_SPECIES_FIGURES, *(f"{figure}_source" for figure in _SPECIES_FIGURES),
}  # fmt: skip


def _only_known(table: Mapping[str, Any], words: set[str]) -> None:
    unknown = sorted(set(table) - words)
    if unknown:
        raise ValueError(f"unknown words {', '.join(unknown)}")


def _text(value: object, *, least: int = 0) -> str:
    if not isinstance(value, str) or value != value.strip() or len(value) < least:
        raise ValueError(f"{value!r} is not a tidy text")
    return value


def _whole(value: object, name: str, most: int) -> int:
    # A bool is an int to Python, but never a figure.
    if type(value) is not int or not 0 <= value <= most:
        raise ValueError(f"{name} is {value!r}, not a whole number from 0 to {most}")
    return value


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{value!r} is neither true nor false")
    return value


def _near(wanted: str) -> tuple[str, ...]:
    """Return up to three keys whose key or names come close to what was asked, nearest first."""
    import difflib

    by_word = {
        word.lower(): candidate.key
        for candidate in templates()
        for word in (candidate.scientific, candidate.common, candidate.key)
        if word
    }
    close = difflib.get_close_matches(wanted, by_word, n=6, cutoff=0.6)
    part = [word for word in by_word if len(wanted) >= 3 and wanted in word]
    return tuple(dict.fromkeys(by_word[word] for word in [*close, *part]))[:3]

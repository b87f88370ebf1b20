"""Packs: what the name of one says of the animals in it, and how its price is split over the lots it is made of.

The names are those of the trade: single, pair 1.1, trio 1.2, group of 10, pack of 10 unsexed + 1, ootheca, clutch,
colony of 20, dried. Price split in proportion to what each kind would cost alone (relative stand-alone selling price,
IFRS 15 paragraphs 73-80), or by weights the keeper gives. Knows no records.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.errors import BadInput, Refused
from ledger.money import largest_remainder
from ledger.origin.rules import WILD_ORIGIN, Code
from ledger.records.columns import MOST_ANIMALS
from ledger.text import quoted
from ledger.wording import say, word

BY_SEX = re.compile(r"(?<![\d.])(\d{1,3})\.(\d{1,3})(?:\.(\d{1,3}))?(?![\d.])")
_SIZE = re.compile(r"(?<!\d)(\d{1,7})(?:\s*(?:unsexed)?\s*\+\s*(\d{1,6})(?:\s+(?:extra|extras|on top))?)?(?!\d)")
_BY_SEXES = {"pair": 2, "trio": 3}
"""Names that say how many animals there are, and leave their sexes to the animals."""
_OBJECTS = ("ootheca", "clutch", "sac", "egg sac", "egg case")
_CAPTIVE = frozenset({Code.CB, Code.CBU, Code.CF})
_HOW = say(
    "write it like single, pair 1.1, group of 10, pack of 10 unsexed + 1, ootheca, clutch, colony of 20 or dried"
)


@dataclass(frozen=True, slots=True)
class PackKind:
    """What the name of a pack says."""

    animals: int
    """Paid for."""
    extra: int
    """Given on top."""
    by_sex: tuple[int, int, int] | None
    """Males, females and unsexed; `None`: animals of any one kind."""
    unit: str | None
    """object or specimen where the name says so."""
    sex: str
    """any, or unsexed where the name says so."""


def counts_by_sex(pack: str) -> tuple[int, int, int] | None:
    """Males, females, unsexed as written in a pack's name ('trio 1.2' is 1, 2, 0), or `None`."""
    found = BY_SEX.search(pack)
    if found is None:
        return None
    return int(found[1]), int(found[2]), int(found[3] or 0)


def with_sexes(name: str, counts: Mapping[str, int]) -> str:
    """The full name of a pair or trio whose animals say what it is of: 'pair' of a male and a female is 'pair 1.1'."""
    males, females = counts.get("male", 0), counts.get("female", 0)
    if name.casefold() not in _BY_SEXES or not males or not females or sum(counts.values()) != males + females:
        return name
    packs = math.gcd(males, females)
    if (males + females) // packs != _BY_SEXES[name.casefold()]:
        return name
    return f"{name} {males // packs}.{females // packs}"


def read_pack(name: str, animals: int | None = None) -> PackKind:
    """What a pack's name says.

    Args:
        name: such as 'group of 10'.
        animals: how many there are when the name, of the keeper's own making, has no number.

    Raises:
        BadInput: it does not say how many animals there are.
    """
    word = " ".join(name.casefold().split())
    by_sex = counts_by_sex(word)
    if by_sex is not None:
        if sum(by_sex) < 1:
            raise BadInput(say("{name} has no animals; {how}.", name=quoted(name), how=_HOW), "pack")
        return PackKind(sum(by_sex), 0, by_sex, None, "any")
    if word in _OBJECTS:
        return PackKind(1, 0, None, "object", "any")
    if word.startswith("dried"):
        return PackKind(_size(name, word, animals or 1)[0], 0, None, "specimen", "any")
    if word in ("single", ""):
        return PackKind(1, 0, None, None, "any")
    size, extra = _size(name, word, animals)
    return PackKind(size, extra, None, None, "unsexed" if "unsexed" in word else "any")


def _size(name: str, word: str, alone: int | None) -> tuple[int, int]:
    found = list(_SIZE.finditer(word))
    if not found and alone is not None:
        return alone, 0
    if len(found) != 1 or not 1 <= int(found[0][1]) <= MOST_ANIMALS:
        raise BadInput(say("How many animals are in {name}? Please {how}.", name=quoted(name), how=_HOW), "pack")
    return int(found[0][1]), int(found[0][2] or 0)


def check_unit(kind: PackKind, name: str, stage: str, unit: str) -> None:
    """Refuse an ootheca of adults, or dried larvae.

    Raises:
        BadInput: the name says another unit than that of the stage.
    """
    if kind.unit is not None and kind.unit != unit:
        what = {"object": say("clutches and egg cases"), "specimen": say("dried specimens")}[kind.unit]
        raise BadInput(
            say(
                "{name} is for {what}, and {stage} is counted in {units}; choose another pack.",
                name=quoted(name),
                what=what,
                stage=word(stage),
                units=word(f"{unit}s"),
            ),
            "pack",
        )


def split(total: int, counts: Sequence[int], alone: Sequence[int | None]) -> tuple[int, ...]:
    """A price split over the lines of a pack, in minor units; sums to `total`.

    Args:
        total: price of the pack.
        counts: animals of each line.
        alone: what each line would cost by itself; where one is not known, all are split by the number of animals.
    """
    known = [one for one in alone if one is not None]
    weights = known if len(known) == len(counts) and sum(known) > 0 else list(counts)
    return largest_remainder(total, weights)


def check_origins(pack: str, lots: Iterable[tuple[str, Code]]) -> None:
    """Refuse a pack that mixes wild-origin and captive-bred animals, whatever its lines would state.

    Args:
        pack: its name.
        lots: code and origin (as the records give it) of each lot in it.

    Raises:
        Refused: it mixes them.
    """
    lots = list(lots)
    wild = sorted({lot for lot, code in lots if code in WILD_ORIGIN})
    captive = sorted({lot for lot, code in lots if code in _CAPTIVE})
    if wild and captive:
        raise Refused(
            say(
                "{pack} would mix animals of wild origin ({wild}) with captive-bred ones ({captive}); sell them "
                "as lines of their own.",
                pack=pack or say("The pack"),
                wild=", ".join(wild),
                captive=", ".join(captive),
            ),
            "packs",
            {"wild": tuple(wild), "captive": tuple(captive)},
        )

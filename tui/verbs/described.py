"""Reading a species that a keeper describes by hand: its stages in order, which are sold, which one is reared.

Reads words only.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.errors import BadInput
from ledger.stock.commands import DescribeSpecies, StageSpec
from ledger.text import quoted
from ledger.wording import say

UNITS = ("animal", "object", "specimen")


def read_stages(text: str, sold: str) -> tuple[StageSpec, ...]:
    """'egg, L1, L2, adult, ootheca=object' with the stages that are sold as stage specs, in order.

    Raises:
        BadInput: a stage has no name or no such unit, or what is sold is no stage.
    """
    selling = [name.casefold() for name in _names(sold)] if sold.strip() else []
    found: list[StageSpec] = []
    for typed in _names(text):
        name, _, unit = (part.strip() for part in typed.partition("="))
        if unit and unit not in UNITS:
            raise BadInput(
                say(
                    "{unit} is no unit of {stage}; write name=object for clutches or cases, name=specimen for dried "
                    "ones, or the name alone for animals.",
                    unit=quoted(unit),
                    stage=quoted(name),
                ),
                field="stages",
            )
        found.append(StageSpec(name, unit or "animal", saleable=name.casefold() in selling))
    known = {stage.name.casefold() for stage in found}
    for name in selling:
        if name not in known:
            raise BadInput(
                say("{stage} is sold but is none of the stages; name it in --stages too.", stage=quoted(name)),
                field="sold",
            )
    return tuple(found)


def _names(text: str) -> list[str]:
    names = [" ".join(part.split()) for part in text.split(",")]
    if "" in names:
        raise BadInput("Write the stages in order with a comma between them, such as: egg, L1, L2, adult.", "stages")
    return names


def described(
    code: str, stages: str, *, common: str, scientific: str, group: str, reared: str, sold: str
) -> DescribeSpecies:
    """The command for a species described by hand; without `reared` the last stage of animals is the reared one."""
    specs = read_stages(stages, sold)
    return DescribeSpecies(code, scientific, common, group, specs, reared or _last_of_animals(specs))


def _last_of_animals(specs: Sequence[StageSpec]) -> str:
    return next((stage.name for stage in reversed(specs) if stage.unit == "animal"), "")

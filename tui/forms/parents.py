"""The fields that name the parents of animals: lots, or animals of a lot by their tub."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.wording import say
from tui.widgets.fields import FieldSpec, codes, nothing_beside


def mothers(lots: Sequence[str]) -> FieldSpec:
    """Who laid or bore them, out of these lots."""
    hint = say("P01 or P01/07")
    return FieldSpec("mothers", say("mothers"), codes, "", nothing_beside, hint=hint, known=lots, several=True)


def fathers(lots: Sequence[str], hint: str = "") -> FieldSpec:
    """Their fathers, where they are stated."""
    return FieldSpec("fathers", say("fathers"), codes, "", nothing_beside, hint=hint, known=lots, several=True)

"""Fields that may be left empty: how they are read, and what stands beside them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TypeVar

from tui.widgets.fields import in_days

T = TypeVar("T")


def or_none(read: Callable[[str], T]) -> Callable[[str], T | None]:
    """Reads what is typed; an empty field is none."""
    return lambda typed: read(typed) if typed.strip() else None


def day_beside(value: dt.date | None) -> str:
    """A day in words for beside the field; none of an empty one."""
    return "" if value is None else in_days(value)

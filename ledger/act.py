"""What every act of recording shares: who, when and under which operation, and what is answered.

Each thing a keeper does is a frozen command. `plan(conn, command, scene)` checks it against the ledger and says in
words what will happen, without writing; `commit(conn, plan, act)` writes it inside one transaction and answers.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from sqlalchemy import Connection

from ledger.money import Currency


@dataclass(frozen=True, slots=True)
class Scene:
    """What a plan may know besides the ledger: nothing reads a clock or a locale of its own."""

    today: dt.date
    now: str
    """Local date and minute, ISO 8601 (2025-06-07T14:30): deadlines of holds are judged by it."""
    currency: Currency
    memo: dict[str, object] = field(default_factory=dict, compare=False, repr=False)
    """What may be kept between the acts of one open ledger, by the part that keeps it."""
    sentences: bool = field(default=True, compare=False)
    """Whether anybody reads the sentence of each act; of a sheet of many thousand rows only the cautions are read."""


@dataclass(frozen=True, slots=True)
class Act:
    """The act that is being recorded."""

    operation: int
    """Row id of the operation; every row of a journal carries it."""
    scene: Scene


@dataclass(frozen=True, slots=True)
class Done:
    """What was recorded, in words and by number."""

    sentence: str
    """'P08: 3 of 14 L3 died, 12 March 2025.'"""
    refs: Mapping[str, int | str] = field(default_factory=dict)
    """Numbers to find it again: 'entry', 'movement', 'sale', 'number', 'lot', 'hold', 'cost', ..."""
    cautions: tuple[str, ...] = ()
    """Things to know that did not stop it."""


class Plan(Protocol):
    """A checked command, ready to be written."""

    @property
    def sentence(self) -> str:
        """What will be recorded, in full."""
        ...

    @property
    def cautions(self) -> tuple[str, ...]:
        """Things to know before it is recorded."""
        ...


@dataclass(frozen=True, slots=True)
class Handler:
    """How one kind of command is planned and written."""

    plan: Callable[[Connection, Any, Scene], Plan]
    commit: Callable[[Connection, Any, Act], Done]

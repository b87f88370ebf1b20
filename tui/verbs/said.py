"""Recording from the command line: one command, what came of it, and the same for a line in the keeper's own words."""

from __future__ import annotations

import argparse
import datetime as dt
from dataclasses import replace
from typing import Any

from ledger.days import short_day
from ledger.errors import BadInput
from tui.verbs import answer, typed
from tui.verbs.place import to_write

DAYS = ("on", "bought_on", "sold_on")
"""Fields of the commands that a jot line makes which hold the day it happened."""


def record(args: argparse.Namespace, command: object) -> int:
    """Record a command that needs nothing of the ledger to be made."""
    with to_write(args) as ledger:
        return answer.done(ledger.do(command), args.format)


def words(args: argparse.Namespace, first: str = "") -> str:
    """The free words of a line, after the verb that is part of it."""
    return " ".join([first, *args.words] if first else args.words)


def on_day(command: Any, day: dt.date | None, today: dt.date) -> Any:
    """A command made from a jot line, on the day that `--date` says.

    Raises:
        BadInput: the line names another day itself, or the command has no day.
    """
    if day is None:
        return command
    field = next((name for name in DAYS if hasattr(command, name)), None)
    if field is None:
        raise BadInput("That is recorded as of now; leave --date out.", field="date")
    said: dt.date = getattr(command, field)
    if said not in (today, day):
        raise BadInput(
            f"The line says {short_day(said)} and --date says {short_day(day)}; keep one of them.", field="date"
        )
    return replace(command, **{field: day})


def from_line(ledger: Any, line: str, date: str | None = None) -> Any:
    """The command that a jot line stands for, read against the ledger as it is."""
    from tui.jot_line import read_line
    from tui.jot_words import Setting

    order = typed.order(ledger)
    command = read_line(line, Setting(ledger.vocabulary(), ledger.today, ledger.currency, order))
    return on_day(command, typed.day(date, ledger, "date"), ledger.today)

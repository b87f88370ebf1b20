"""From the words of a command line to one command: a line in the keeper's own words, read against the ledger."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ledger.costs.commands import TakeOut
from ledger.days import Order, parse_day, short_day
from ledger.errors import BadInput
from ledger.stock.commands import AddLot
from tui.verbs import typed

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from ledger.act import Done
    from ledger.ledger import Ledger
    from ledger.selling.commands import Pick
    from tui.jot_words import Vocabulary

DAYS = ("on", "bought_on", "sold_on", "started_on")
"""Fields of the commands that a jot line makes which hold the day it happened."""


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
    moved = replace(command, **{field: day})
    if isinstance(moved, AddLot) and moved.laid_on is not None:
        return replace(moved, laid_on=day)
    if isinstance(moved, TakeOut) and moved.used_to is not None:
        return replace(moved, used_to=moved.used_to + (day - said))
    return moved


def from_line(ledger: Ledger, line: str, date: str | None = None, categories: Mapping[str, str] | None = None) -> Any:
    """The command that a jot line stands for, read against the ledger as it is.

    Args:
        ledger: the open ledger.
        line: in the keeper's own words.
        date: the day it happened, as typed; `None`: the line says, or today.
        categories: of spending, beside those the ledger knows.
    """
    names = ledger.vocabulary()
    if categories:
        names = replace(names, categories={**names.categories, **categories})
    return _read(ledger, names, line, date, typed.order(ledger))


def picks(ledger: Ledger, text: str) -> tuple[Pick, ...]:
    """Animals of one or several lots, 'E03 1.1 and P08 10 L3', read against the ledger as it is."""
    from tui.jot_trade import read_picks
    from tui.jot_words import Setting

    setting = Setting(ledger.vocabulary(), ledger.today, ledger.currency, typed.order(ledger))
    return tuple(read_picks(text, setting))


def reader(ledger: Ledger, line: str, date: str | None) -> Callable[[Connection], object]:
    """Makes the command of one line among many when its turn comes, with the names that those before it made."""
    from ledger.books.vocabulary import names
    from ledger.stock.commands import Undo

    order = typed.order(ledger)

    def make(conn: Connection) -> object:
        command = _read(ledger, names(conn), line, date, order)
        if isinstance(command, Undo):
            raise BadInput("Undo stands alone and not among other lines.")
        return command

    return make


def done_with_names(ledger: Ledger, command: object) -> Done:
    """Record a command; the answer names a customer or supplier it brought for the first time.

    Raises:
        Refused: it was not recorded, and why.
    """
    from tui.new_names import new_names

    fresh, doubts = new_names(command, ledger.vocabulary())
    done = ledger.do(command)
    return replace(done, sentence=" ".join((done.sentence, *fresh)), cautions=(*done.cautions, *doubts))


def _read(ledger: Ledger, names: Vocabulary, line: str, date: str | None, order: Order) -> Any:
    from tui.jot_line import read_line
    from tui.jot_words import Setting

    today = ledger.today
    command = read_line(line, Setting(names, today, ledger.currency, order))
    on = None if date is None else parse_day(date, today, order, field="date")
    return on_day(command, on, today)

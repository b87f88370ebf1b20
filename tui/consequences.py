"""What a jot line would do to costs already shown: when to ask, how it is said in short, and the whole list.

Knows no widget; the trial itself is the ledger's, and saves nothing.
"""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import TYPE_CHECKING

from ledger.money import Currency, amount_text, said
from ledger.wording import counted, say, strung, word
from tui.charts import beside, fit
from tui.look import each

if TYPE_CHECKING:
    from ledger.books.changes import Consequences, FigureChange

COSTS = "ledger.costs.commands"
DAYS = ("on", "bought_on", "sold_on", "started_on")
"""Fields of commands that hold the day it happened."""
IN_SHORT = 2
"""Figures named beside the number of them."""
LIST_KEY = say("ctrl-o lists them")


def to_ask(command: object, today: dt.date) -> bool:
    """Whether a command may change costs already shown: it is a cost, or it happened before today."""
    if type(command).__module__ == COSTS:
        return True
    happened = next((day for name in DAYS if isinstance(day := getattr(command, name, None), dt.date)), today)
    return happened < today


def _seen(found: Consequences) -> list[FigureChange]:
    """Changes of half the smallest coin and more; the others would read as no change."""
    return [one for one in found.changes if 2 * abs(one.by) >= 1]


def _amount(value: Fraction | None, currency: Currency) -> str:
    return each(value, currency) or say("none")


def in_short(found: Consequences, currency: Currency) -> str:
    """'changes 3 figures: P11 cost per reared adult 3.87 -> 4.02; ...; ctrl-o lists them'."""
    seen = _seen(found)
    if not seen:
        if found.changes:
            return say("changes no figure of the costing by enough to show ({list_key})", list_key=LIST_KEY)
        return say("changes no figure of the costing")
    named = [
        strung((one.of, word(one.figure), _amount(one.before, currency), "->", _amount(one.after, currency)))
        for one in seen[:IN_SHORT]
    ]
    more = ["..."] if len(seen) > IN_SHORT else []
    return counted(
        len(seen),
        "changes {n} figure: {figures} ({list_key})",
        "changes {n} figures: {figures} ({list_key})",
        figures=strung([*named, *more], "; "),
        list_key=LIST_KEY,
    )


def whole_list(found: Consequences, currency: Currency, width: int) -> list[str]:
    """Every figure that would change, before and after."""
    figure = 12
    room = max(width - 3 * figure, 20)

    def line(name: str, *cells: str) -> str:
        return fit(name, room) + "".join(beside(cell, figure) for cell in cells)

    seen = _seen(found)
    lines = [
        say("Nothing is recorded yet. {sentence}", sentence=found.sentence),
        *(say("Caution: {caution}", caution=caution) for caution in found.cautions),
        "",
    ]
    if not seen:
        lines.append(
            say(
                "No figure of the costing would change by enough to show, half of {coin} or more.",
                coin=said(1, currency),
            )
        )
    else:
        lines.append(line(say("in {code}", code=currency.code), say("before"), say("after"), say("by")))
    lines += [
        line(
            strung((one.of, word(one.figure))),
            *(_amount(value, currency) for value in (one.before, one.after)),
            amount_text(one.shown_by, currency),
        )
        for one in seen
    ]
    if less := len(found.changes) - len(seen):
        lines += ["", say("and {less} more by less than half of {coin}", less=less, coin=said(1, currency))]
    return lines

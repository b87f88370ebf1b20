"""The command `rearledger`: everything the screens do that makes sense in a script, and the way into the screen.

Knows no rule: each verb reads words, calls one thing of the ledger and writes the answer. Nothing heavy is loaded
before a verb needs it; the screen library only for the screen.

Exit status: 0 done, 1 the books do not add up (`prove`) or a fault of the program, 2 refused, 130 interrupted.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
from collections.abc import Sequence

from ledger.errors import BadInput, Refused
from ledger.text import quoted, show
from tui.verbs import answer
from tui.verbs.parser import Parser, with_ledger

REFUSED = 2
FAULT = 1
INTERRUPTED = 130
BROKEN_PIPE = 141
"""As a shell reports a program ended by a closed pipe."""

_PASSWORD = re.compile(r"(:/+[^\s/:@]*:)[^\s@\"…]+(?=[@…])")
"""In the address of a database that somebody typed in a wrong place."""

SECTIONS = {
    "Animals": ("species", "lot", "record", "takeback", "undo", "stock", "entries", "origin"),
    "Selling": (
        *("ready", "price", "hold", "queue", "sell", "pack", "swap", "receipt", "credit", "sales", "margin"),
        *("paid", "refund", "owed", "parcels", "wait", "posted", "replace", "arrived", "claim", "claims", "arrivals"),
        *("fair", "give", "lend", "dry", "customers", "customer", "reminder"),
        *("affected", "tell", "paper"),
    ),
    "Money": ("spend", "costs", "store", "power", "hours", "equipment"),
    "What next": (
        *("due", "coming", "rear-or-sell", "how-many", "charge", "rearing", "survival", "stage-times"),
        *("explain", "try"),
    ),
    "For your adviser": ("method", "standard", "valuation"),
    "The books": ("income", "checks", "prove", "stock-count", "late", "tax-helps", "close", "year-end"),
    "The ledger": ("new", "demo", "setting", "completion"),
    "Safekeeping": ("backup", "restore", "accept", "upgrade"),
    "In and out": ("bring-in", "archive", "open-archive", "move-to", "let-in"),
}
"""Every verb under the heading the help lists it by."""


def main(argv: Sequence[str] | None = None) -> int:
    """Do what one command line says.

    Args:
        argv: words after the program's name; `None`: those it was started with.

    Returns:
        The exit status. What is refused is said in one sentence on standard error.
    """
    _be_lenient()
    try:
        status = _run(sys.argv[1:] if argv is None else argv)
        with answer.written():
            sys.stdout.flush()
        return status
    except Refused as refused:
        _complain(refused.sentence)
        return REFUSED
    except BrokenPipeError:
        _let_go_of_output()
        return BROKEN_PIPE
    except answer.NotWritten as failed:
        _complain(str(failed))
        _let_go_of_output()
        return FAULT
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        return _fault(error)


def parser() -> Parser:
    """Every verb, with its words and options."""
    from tui.verbs import (
        bring_in,
        coming,
        completion,
        costs,
        customer,
        deciding,
        descent,
        documents,
        explain,
        fair,
        jots,
        keeping,
        looking,
        lots,
        moving,
        parcels,
        rearing,
        safekeeping,
        selling,
        species,
        store,
        surviving,
        swapping,
        trading,
        valued,
        year,
        year_end,
    )

    top = Parser(
        "rearledger",
        "Stock, sales and the true cost of a reared adult, for people who rear small animals.\n"
        "Without a verb the screen opens. rearledger VERB --help says more about a verb.",
        "Every verb takes --ledger PATH|URL; without it REARLEDGER_LEDGER says which, else it\n"
        "is the one in your data folder. --format text|json|csv says how an answer is written.",
    )
    top.sections = SECTIONS
    top.add_argument("--version", action="store_true", help="say which version this is")
    with_ledger(top)
    money = (costs, store, rearing, surviving, coming, deciding, explain, valued)
    trade = (selling, swapping, trading, parcels, fair, customer)
    for group in (keeping, safekeeping, bring_in, moving, species, lots, jots, looking, *trade, *money, year, year_end):
        group.add(top)
    descent.add_chain(top)
    documents.add(top)
    completion.add(top)
    top.set_defaults(run=keeping.screen)
    return top


def _run(words: Sequence[str]) -> int:
    for word in words:
        # What the terminal sent and Python could not decode stands in the word as half a character.
        if any("\ud800" <= letter <= "\udfff" for letter in word):
            raise BadInput(f"{quoted(word)} is not text in this terminal's encoding; type it anew.")
    try:
        args = parser().parse_args(list(words))
    except SystemExit as ended:
        # argparse has written its help.
        return int(ended.code or 0)
    if getattr(args, "version", False):
        sys.stdout.write(f"rearledger {_version()}\n")
        return 0
    status: int = args.run(args)
    return status


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("rearledger")
    except PackageNotFoundError:
        return "from its source folder, not installed"


def _be_lenient() -> None:
    """A character that the terminal cannot show becomes a question mark and no fault."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure") and stream.errors == "strict":
            stream.reconfigure(errors="replace")


def _let_go_of_output() -> None:
    """What is left in the buffer must not be written again when Python ends."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _complain(sentence: str) -> None:
    with contextlib.suppress(OSError):
        sys.stderr.write(_PASSWORD.sub(r"\1***", show(sentence)) + "\n")


def _fault(error: Exception) -> int:
    """Say in one sentence that the program failed, and where the report without anybody's data is."""
    import datetime as dt

    from tui.crash import write_report
    from tui.verbs.place import state_folder

    moment = dt.datetime.now().strftime("%Y-%m-%dT%H:%M:%S")
    try:
        path = write_report(error, state_folder(), moment)
    except (OSError, ImportError):
        _complain("The program met a fault of its own and stopped; no report of it could be written.")
        return FAULT
    _complain(f"The program met a fault of its own and stopped; a report without your data is in {path}")
    return FAULT

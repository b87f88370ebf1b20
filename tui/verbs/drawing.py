"""The option that has a verb's picture drawn into a file of its own, the same picture as the screen shows."""

from __future__ import annotations

import argparse
import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ledger.errors import BadInput, Refused
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.parser import Parser

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.ledger import Ledger
    from tui.drawn import Picture

R = TypeVar("R")

SUFFIX = ".svg"


def with_picture(parser: Parser) -> Parser:
    """Add the option."""
    parser.add_argument("--picture", metavar="FILE.svg", help="draw the picture of the screen into a new file")
    return parser


def asked(args: argparse.Namespace) -> Path | None:
    """The file asked for, or None.

    Raises:
        BadInput: it is no SVG file, which is all that is drawn.
    """
    if args.picture is None:
        return None
    path = Path(args.picture)
    if path.suffix.lower() != SUFFIX:
        raise BadInput(
            f"{quoted(args.picture)} is no name of a picture; it must end in {SUFFIX}, which any browser opens and "
            "can print, or save as another kind.",
            "picture",
        )
    return path


def only_one(rows: Sequence[R], what: str) -> R:
    """The one row a picture can be of.

    Raises:
        BadInput: there are several; `what` names the option that says which.
        Refused: there is none.
    """
    if not rows:
        raise Refused("There is nothing to draw yet, so no picture was made.", "picture")
    if len(rows) > 1:
        raise BadInput(f"A picture is of one {what}; say which with --{what}.", field=what)
    return rows[0]


def origin(path: Path | None, ledger: Ledger, on: dt.date | None = None) -> str:
    """Whose figures a picture shows, of which day, in which currency; nothing where none is asked for."""
    if path is None:
        return ""
    from tui.drawn import whence
    from tui.look import short

    return whence(ledger.name, short(on or ledger.today, typed.order(ledger)), ledger.currency.code)


def draw(path: Path, picture: Picture, whence: str) -> None:
    """Write the file; `whence` as `origin` says it.

    Raises:
        Refused: there is nothing to draw.
        BadInput: there is something at that place already, or no such folder.
        DiskFull, DiskFault: it could not be written.
    """
    from exports.files import write_new
    from tui.drawn_svg import svg

    if not picture.parts:
        raise Refused("There is nothing to draw yet, so no picture was made.", "picture")
    write_new(path, svg(picture, whence).encode("utf-8"))


def say_where(path: Path | None, form: str) -> None:
    """Say where the picture is, in text; other formats hold figures alone."""
    if path is not None and form == "text":
        answer.say(f"The picture is in {path}.")

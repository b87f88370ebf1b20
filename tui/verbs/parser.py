"""Reading a command line: what cannot be understood is refused in one sentence of our own.

Knows argparse's ways of complaining and nothing of the ledger.
"""

from __future__ import annotations

import argparse
import difflib
import re
import textwrap
from collections.abc import Callable, Sequence
from typing import NoReturn

from ledger.errors import BadInput
from ledger.text import quoted, show

Run = Callable[[argparse.Namespace], int]
"""What a verb does; gives the exit status."""

FORMATS = ("text", "json", "csv")


class Parser(argparse.ArgumentParser):
    """A parser that refuses in our words. Options are never guessed from their first letters."""

    def __init__(self, prog: str = "", description: str = "", epilog: str = "", **_of_argparse: object) -> None:
        super().__init__(
            prog=prog,
            description=description,
            epilog=epilog,
            allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        # From Python 3.14 on argparse would colour its help.
        self.color = False
        self.verbs: dict[str, Parser] = {}
        self.sections: dict[str, tuple[str, ...]] = {}
        """Verbs under the headings that the help lists them by; none: as they were added."""
        self._below: argparse._SubParsersAction[Parser] | None = None

    def verb(self, name: str, words: str, run: Run | None = None, *, epilog: str = "") -> Parser:
        """Add a verb below this one.

        Args:
            name: as it is typed.
            words: one sentence for the help.
            run: what it does; a verb that only has verbs below it needs none.
            epilog: examples, one a line.
        """
        if self._below is None:
            self._below = self.add_subparsers(metavar="VERB", title="verbs", parser_class=Parser, prog=self.prog)
            self.set_defaults(run=self.needs_verb)
        made: Parser = self._below.add_parser(name, help=words, description=words, epilog=epilog)
        self.verbs[name] = made
        if run is not None:
            made.set_defaults(run=run)
        return made

    def format_help(self) -> str:
        """The help; verbs in sections where there are any."""
        if not self.sections:
            return super().format_help()
        width = max(len(name) for name in self.verbs)
        lines = [f"{self.prog} [--ledger PATH|URL] VERB ...", "", self.description or ""]
        for title, names in self.sections.items():
            lines += ["", title]
            for name in names:
                words = textwrap.wrap(self.verbs[name].description or "", 76 - width)
                lines += [f"  {name:<{width}}  {words[0]}", *(f"  {'':<{width}}  {more}" for more in words[1:])]
        return "\n".join([*lines, "", self.epilog or "", ""])

    def needs_verb(self, _args: argparse.Namespace) -> int:
        """Refuse a line that stops before its verb."""
        raise BadInput(f"Say what to do: {self.prog} {_either(list(self.verbs))}.", field="verb")

    def error(self, message: str) -> NoReturn:
        """Refuse what argparse complains of."""
        raise self._refusal(message)

    def _refusal(self, message: str) -> BadInput:
        see = f"see {self.prog} --help"
        if found := re.search(r"required: (.+)", message):
            names = found[1].split(", ")
            return BadInput(f"Something is missing: say {_both(names)} too; {see}.", field=names[0])
        if found := re.search(r"invalid choice: '?(.*?)'? \(", message, re.DOTALL):
            typed = found[1]
            near = difflib.get_close_matches(typed, list(self.verbs), n=3)
            meant = f"did you mean {_either(near)}?" if near else f"{see}."
            return BadInput(f"There is no verb {quoted(typed)} after {self.prog}; {meant}", field="verb")
        if found := re.search(r"unrecognized arguments: (.*)", message, re.DOTALL):
            first = " (words come first, options after them)" if not found[1].startswith("-") else ""
            return BadInput(f"{quoted(found[1])} has no place there{first}; {see}.")
        if found := re.search(r"argument (\S+): (.*)", message, re.DOTALL):
            name = found[1].split("/")[-1]
            if "expected" in found[2]:
                return BadInput(f"{name} needs something after it; {see}.", field=name)
            if "not allowed with" in found[2]:
                return BadInput(f"{name} does not go with {found[2].split()[-1]}; leave one out.", field=name)
            if "ignored explicit" in found[2]:
                return BadInput(f"{name} takes nothing after it; {see}.", field=name)
        return BadInput(f"The line was not understood ({show(message)[:200]}); {see}.")


def _either(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _both(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def with_ledger(parser: Parser) -> Parser:
    """The option that says which ledger."""
    parser.add_argument(
        "--ledger",
        metavar="PATH|URL",
        default=argparse.SUPPRESS,
        help="the ledger; else REARLEDGER_LEDGER, else the one in your data folder",
    )
    return parser


def with_format(parser: Parser) -> Parser:
    """The option that says how the answer is written."""
    parser.add_argument("--format", metavar="|".join(FORMATS), type=_format, default="text", help="how it is written")
    return parser


def common(parser: Parser) -> Parser:
    """Both options."""
    return with_format(with_ledger(parser))


def with_day(parser: Parser, name: str, words: str) -> Parser:
    """An option that takes a day as a keeper types it: 2025-03-12, 12 mar, yesterday, -3."""
    parser.add_argument(f"--{name}", metavar="DAY", help=words)
    return parser


def _format(typed: str) -> str:
    if typed not in FORMATS:
        raise BadInput(f"{quoted(typed)} is no format; choose {_either(FORMATS)}.", field="format")
    return typed

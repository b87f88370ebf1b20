"""The ways the books refuse: one sentence a keeper understands, with the facts behind it as fields.

A refusal changes nothing. It says what was wrong, where, and what to do. Programming mistakes are not
refusals and must never be dressed up as one.
"""

from collections.abc import Mapping


class Refused(Exception):
    """Something asked of the books was refused; the sentence says what, where and what to do."""

    sentence: str
    """The one sentence shown to the keeper; also what `str()` gives."""
    field: str | None
    """Name of the field the sentence is about, or None when it is about the whole request."""
    facts: dict[str, object]
    """The figures and names in the sentence, for screens, exports and tests."""

    def __init__(self, sentence: str, field: str | None = None, facts: Mapping[str, object] | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
        self.facts = dict(facts or {})

    def __str__(self) -> str:
        return self.sentence


class BadInput(Refused):
    """What was typed or read cannot be understood, or lies outside what the books can hold."""


class NotFound(Refused):
    """Nothing by that name is in the books."""


class NotEnough(Refused):
    """Fewer animals, or less of something, is there than was asked for."""


class Ambiguous(Refused):
    """What was typed fits several things; `choices` lists them in the order to offer."""

    choices: tuple[str, ...]
    """The things it could mean, ready to show and to type back."""

    def __init__(
        self,
        sentence: str,
        field: str | None = None,
        facts: Mapping[str, object] | None = None,
        *,
        choices: tuple[str, ...] = (),
    ) -> None:
        super().__init__(sentence, field, facts)
        self.choices = choices


class PeriodClosed(Refused):
    """The date lies in a year that has been closed; its figures stand."""


class Busy(Refused):
    """Another window or person is writing to the same ledger; try again in a moment."""


class ReadOnly(Refused):
    """The ledger is open for reading only."""


class NotALedger(Refused):
    """The file is not a ledger of this program."""


class NewerLedger(Refused):
    """The ledger was written by a newer version of this program."""


class OlderLedger(Refused):
    """The ledger was written by an older version of this program and has to be brought up to date first."""


class DiskFull(Refused):
    """There is no room left on the disk; nothing was written."""


class SaidDifferently(Refused):
    """The same operation id came twice with different content; the first stands."""


class DiskFault(Refused):
    """The disk failed to read or write, or what it gave back is damaged."""


class Unreachable(Refused):
    """The database server does not answer, or does not let us in."""


class NotKnown(Refused):
    """Whether it was saved cannot be told just now; the same form may be sent again, it counts once."""

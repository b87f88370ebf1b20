"""The words of the jot line: what a ledger lends it, the verbs of the trade, and how a word finds its meaning.

Never imports the screen library. A word that fits several things is refused with the choices, never guessed.
"""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from ledger.days import Order
from ledger.errors import Ambiguous, BadInput, NotFound
from ledger.money import Currency
from ledger.text import quoted
from ledger.wording import say, strung, word
from tui.jot_days import day_inside, refuse_day_inside


class Vocabulary(Protocol):
    """What the jot line may know of a ledger; plain names only."""

    @property
    def stages(self) -> Mapping[str, Sequence[tuple[str, str]]]:
        """For each lot code, its stages in order: (name, unit), the unit 'animal', 'object' or 'specimen'."""
        ...

    @property
    def kinds(self) -> Mapping[str, str]:
        """For each lot code, the code of its species."""
        ...

    @property
    def tubs(self) -> Mapping[str, Mapping[str, int]]:
        """For each lot code that has any, its labelled tubs with the number of animals alive in each."""
        ...

    @property
    def alive(self) -> Collection[str]:
        """Codes of the lots that hold animals or objects and are not lent out."""
        ...

    @property
    def places(self) -> Mapping[str, tuple[str, ...]]:
        """Places where lots stand, each with those of `alive` there."""
        ...

    @property
    def species(self) -> Collection[str]:
        """Species codes."""
        ...

    @property
    def customers(self) -> Collection[str]: ...

    @property
    def suppliers(self) -> Collection[str]: ...

    @property
    def categories(self) -> Mapping[str, str]:
        """Categories of spending and the kind of each: 'used up', 'lasting', 'overhead' or 'selling'."""
        ...

    @property
    def example(self) -> str:
        """A lot fit for an example line; empty if none is."""
        ...


@dataclass(frozen=True, slots=True)
class Setting:
    """What a line is read against."""

    vocabulary: Vocabulary
    today: dt.date
    currency: Currency
    order: Order = "dmy"
    """How the keeper writes 14/3."""


@dataclass(frozen=True, slots=True)
class Verb:
    """What a phrase says happened."""

    reason: str
    """A reason for a movement; or 'pupated', 'emerged', 'hatched', which depend on the stages of the lot."""
    explained: bool = False


VERBS: dict[str, Verb] = {
    "died": Verb("died"),
    "dead": Verb("died"),
    "missing": Verb("missing"),
    "culled": Verb("culled"),
    "escaped": Verb("escaped"),
    "given away": Verb("given away"),
    "gave away": Verb("given away"),
    "own use": Verb("own use"),
    "used as feed": Verb("used as feed"),
    "went back": Verb("loan returned"),
    "found": Verb("found"),
    "miscounted before": Verb("found", explained=True),
    "dried": Verb("dried"),
    "moved on": Verb("next stage"),
    "moulted": Verb("next stage"),
    "molted": Verb("next stage"),
    "next": Verb("next stage"),
    "next stage": Verb("next stage"),
    "pupated": Verb("pupated"),
    "emerged": Verb("emerged"),
    "hatched": Verb("hatched"),
    "sexed": Verb("sexed"),
}
CARE = {
    "cleaned": "cleaned",
    "cleaned out": "cleaned",
    "substrate changed": "substrate changed",
    "changed substrate": "substrate changed",
    "watered": "watered",
    "water changed": "water changed",
    "sprayed": "sprayed",
    "misted": "sprayed",
}
"""What was done at a tub, and how it is noted: whoever did it has looked."""
MARKS = {"fed": "fed", "looked": "looked", "seen hard": "seen hard", **dict.fromkeys(CARE, "looked")}
COUNTS = {"counted": "counted", "estimated": "estimated"}
CAUSES = {
    "exceptional": "exceptional",
    "heater": "exceptional",
    "mould": "exceptional",
    "mold": "exceptional",
    "power cut": "exceptional",
    "ordinary": "ordinary",
    "old age": "ordinary",
    "unknown": "unknown",
}
"""Words after 'died' and the cause they name."""
LITTLE_WORDS = (
    *("to", "into", "in tub", "in no tub", "from tub", "in pack"),
    *("and", "about", "probable", "confirmed", "note"),
)
"""Words of the grammar that no beginning of a name may take the place of."""
SEXES = {
    "male": "male",
    "males": "male",
    "female": "female",
    "females": "female",
    "hermaphrodite": "hermaphrodite",
    "hermaphrodites": "hermaphrodite",
    "unsexed": "unsexed",
}
PUPAL = ("pupa", "cocoon")
ADULT = ("soft adult", "teneral", "adult", "imago")
SAME_STAGE = (("pupa", "cocoon"), ("soft adult", "teneral"), ("adult", "imago"))
"""Names that mean the same stage where a species has only one of them."""
GENERAL = {"larva": r"L\d.*", "grub": r"L\d.*", "nymph": r"L\d.*", "instar": r"[Li]\d.*"}
"""General words for stages that a species numbers."""
PLURALS = {"larvae": "larva", "pupae": "pupa", "mancae": "manca", "imagines": "imago", "oothecae": "ootheca",
           "fry": "fry", "clutches": "clutch"}  # fmt: skip


_NOTE = re.compile(r"(?:^|\s)note\s+(?=\S)", re.IGNORECASE)


def cut_note(text: str) -> tuple[str, str]:
    """A line and its note: everything after the word `note` is kept as it is typed."""
    found = _NOTE.search(text)
    return (text, "") if found is None else (text[: found.start()].rstrip(), text[found.end() :])


class Words:
    """The words of one line, read from left to right; a comma after a word is a word of its own.

    `after` is what follows them in the line (its date, its note), so that a choice can be the whole line.
    """

    def __init__(self, text: str, after: str = "") -> None:
        self.words = re.sub(r",(?=\s|$)", " ,", text).split()
        self.after = after
        self.at = 0

    def __bool__(self) -> bool:
        return self.at < len(self.words)

    def peek(self) -> str:
        """The next word, or nothing."""
        return self.words[self.at] if self else ""

    def take(self) -> str:
        """The next word, stepped over."""
        word = self.peek()
        self.at += 1
        return word

    def take_phrase(self, phrases: Iterable[str]) -> str | None:
        """Step over the longest of the phrases that comes next (case does not matter) and return it."""
        rest = [word.casefold() for word in self.words[self.at :]]
        fits = [phrase for phrase in phrases if rest[: len(phrase.split())] == phrase.casefold().split()]
        if not fits:
            return None
        longest = max(fits, key=lambda phrase: len(phrase.split()))
        self.at += len(longest.split())
        return longest

    def rest(self) -> str:
        """Every word from here on, stepped over."""
        text = as_line(self.words[self.at :])
        self.at = len(self.words)
        return text

    def before(self, phrases: Collection[str]) -> str:
        """The words up to one of the phrases (or the end), stepped over."""
        taken: list[str] = []
        while self:
            mark = self.at
            if self.take_phrase(phrases) is not None:
                self.at = mark
                break
            taken.append(self.take())
        return as_line(taken)

    def replaced(self, start: int, stop: int, word: str) -> str:
        """The whole line with the words from `start` up to `stop` replaced: a choice to type back."""
        return self.line_of([*self.words[:start], word, *self.words[stop:]])

    def part(self, start: int, stop: int) -> Words:
        """Its words from one up to another, which are read by themselves and replaced in the whole line."""
        part = Words("", after=" ".join((*self.words[stop:], *self.after.split())))
        part.words, part.at = self.words[:stop], start
        return part

    def line_of(self, words: Iterable[str], note: str = "") -> str:
        """The whole line of these words: what follows them stays, and `note` comes before the note it has."""
        behind, noted = cut_note(self.after)
        remark = strung((part for part in (note, noted) if part), "; ")
        return as_line([*words, *behind.split(), *(["note", *remark.split()] if remark else [])])


def as_line(words: Iterable[str]) -> str:
    """Words as a line, commas back at the word they follow."""
    return strung(words, " ").replace(" ,", ",")


def near(word: str, names: Iterable[str]) -> tuple[str, ...]:
    """Names a mistyped word may have meant, most alike first; at most five."""
    by_fold = {name.casefold(): name for name in names}
    return tuple(by_fold[fold] for fold in difflib.get_close_matches(word.casefold(), list(by_fold), n=5, cutoff=0.6))


def or_list(names: Sequence[str]) -> str:
    """'a, b or c'."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def find_lot(words: Words, vocabulary: Vocabulary) -> tuple[str, str] | None:
    """Step over 'P08' or 'P08/07' and return (lot, tub), tub empty when not said; None if no lot comes next.

    Raises:
        NotFound: the lot has no such tub.
    """
    code, slash, tub = words.peek().rstrip(":").partition("/")
    lot = next((known for known in vocabulary.stages if known.casefold() == code.casefold()), None)
    if lot is None:
        return None
    words.take()
    return lot, find_tub(words, lot, tub, vocabulary) if slash else ""


def find_tub(words: Words, lot: str, tub: str, vocabulary: Vocabulary) -> str:
    """The label of an existing tub of a lot, as it is written on the tub; the word is the one just taken."""
    tubs = vocabulary.tubs.get(lot, {})
    exact = next((known for known in tubs if known.casefold() == tub.casefold()), None)
    if exact is not None:
        return exact
    if not tubs:
        raise NotFound(say("{lot} has no labelled tubs; leave out {tub}.", lot=lot, tub=quoted(tub)), field="tub")
    alike = [known for known in tubs if known.lstrip("0") == tub.lstrip("0") and tub] or near(tub, tubs)
    if not alike:
        raise NotFound(
            say(
                "{lot} has no tub {tub}; it has {or_list}.", lot=lot, tub=quoted(tub), or_list=or_list(sorted(tubs)[:8])
            ),
            field="tub",
        )
    raise Ambiguous(
        say("{lot} has no tub {tub}; did you mean {or_list}?", lot=lot, tub=quoted(tub), or_list=or_list(alike)),
        field="tub",
        choices=tuple(words.replaced(words.at - 1, words.at, _same_form(words, lot, known)) for known in alike),
    )


def _same_form(words: Words, lot: str, tub: str) -> str:
    """'P08/07' where the tub was written so, '07' after 'in tub'."""
    return f"{lot}/{tub}" if "/" in words.words[words.at - 1] else tub


def take_tub(words: Words, lot: str, vocabulary: Vocabulary) -> str | None:
    """Step over 'in tub 07' or 'in no tub' and return the tub, empty for none; None if neither comes next."""
    if words.take_phrase(("in no tub",)) is not None:
        return ""
    if words.take_phrase(("in tub", "from tub")) is None:
        return None
    return find_tub(words, lot, words.take(), vocabulary)


def take_sex(words: Words) -> str | None:
    """Step over 'female' or 'probable female' and return it; None if no sex comes next."""
    start = words.at
    sure = words.take_phrase(("probable", "confirmed"))
    word = words.peek().casefold()
    if word not in SEXES:
        words.at = start
        return None
    words.take()
    return f"{sure} {SEXES[word]}" if sure else SEXES[word]


def _folded(word: str) -> str:
    word = word.casefold()
    return PLURALS.get(word, word)


def is_stage(typed: str, name: str) -> bool:
    """Whether typed words are a stage's name: as written, one of 'pupa/cocoon', or in the plural."""
    names = {name.casefold(), *(part.strip().casefold() for part in name.split("/"))}
    return bool({typed.casefold(), _folded(typed), typed.casefold().removesuffix("s")} & names)


def find_stage(words: Words, lot: str, vocabulary: Vocabulary) -> str | None:
    """Step over a stage of the lot's species and return its name; None if no stage comes next.

    The beginning of a name will do where no other stage of the species begins so: 'soft', 'L4-6'.

    Raises:
        Ambiguous: a general word ('larva') fits several stages.
    """
    stages = [name for name, _ in vocabulary.stages[lot]]
    for length in (3, 2, 1, 0):
        chunk = words.words[words.at : words.at + max(length, 1)]
        if len(chunk) < length or not chunk:
            continue
        typed = strung(chunk, " ")
        if length:
            fits = [name for name in stages if is_stage(typed, name)] or _same_or_general(typed, stages)
        else:
            fits, length = _begun(typed, stages), 1
        if len(fits) == 1:
            words.at += length
            return fits[0]
        if fits:
            raise Ambiguous(
                say(
                    "{typed} may be {or_list} of {lot}; say which.", typed=quoted(typed), or_list=or_list(fits), lot=lot
                ),
                field="stage",
                choices=tuple(words.replaced(words.at, words.at + length, name) for name in fits),
            )
    return None


def _begun(typed: str, stages: Sequence[str]) -> list[str]:
    """The one stage whose name begins so, unless the word says something else."""
    start = typed.casefold()
    taken = start in SEXES or any(phrase.startswith(start) for phrase in (*VERBS, *MARKS, *COUNTS, *LITTLE_WORDS))
    if len(start) < 2 or start.isdigit() or taken:
        return []
    fits = [name for name in stages if name.casefold().startswith(start)]
    return fits if len(fits) == 1 else []


def _same_or_general(typed: str, stages: Sequence[str]) -> list[str]:
    for same in SAME_STAGE:
        if any(is_stage(typed, name) for name in same):
            return [stage for stage in stages if any(is_stage(name, stage) for name in same)]
    # 'L4-6' is the 'L4-6 nymph' where no other stage begins so.
    begin = [name for name in stages if " " in name and name.split()[0].casefold() == typed.casefold()]
    if begin and any(letter.isdigit() for letter in typed):
        return begin
    general = _folded(typed)
    pattern = GENERAL.get(general) or GENERAL.get(general.removesuffix("s"))
    return [stage for stage in stages if re.fullmatch(pattern, stage)] if pattern else []


def find_name(typed: str, known: Collection[str], what: str, words: Words, start: int, stop: int) -> str:
    """A customer or supplier: one already known, or a new one as typed.

    A name or a whole word of it that fits one known name means that one. `new` before it makes a new one.

    Raises:
        Ambiguous: it fits several known names, or is nearly one of them.
        BadInput: nothing was typed.
    """
    if not typed:
        raise BadInput(say("Say the name of the {what}.", what=what), field=what)
    if typed.casefold().startswith("new ") and typed[4:].strip():
        return typed[4:].strip()
    if (certain := known_name(typed, known)) is not None:
        return certain
    new = say("new {typed}", typed=typed)
    day = day_inside(words, start + 1, stop) if what != "place" else None
    if day is not None:
        raise refuse_day_inside(words, *day, words.replaced(start, stop, new))
    fold = typed.casefold()
    asked = fold.split()
    whole = [name for name in known if all(word in name.casefold().split() for word in asked)]
    alike = whole or [name for name in known if any(word.startswith(fold) for word in name.casefold().split())]
    alike = alike or list(near(typed, known))
    if not alike:
        return typed
    offered = sorted(alike)[:6]
    choices = [_with_name(words, start, stop, typed, name) for name in offered]
    raise Ambiguous(
        say(
            "{typed} may be {or_list}; write which, or {new} for another {what}.",
            typed=quoted(typed),
            or_list=or_list(offered),
            new=new,
            what=word(what),
        ),
        field=what,
        choices=(*choices, words.replaced(start, stop, new)),
    )


def known_name(typed: str, known: Collection[str]) -> str | None:
    """The known name that was typed: as it is written, or by whole words of it that no other one has."""
    fold = typed.casefold()
    exact = [name for name in known if name.casefold() == fold]
    asked = fold.split()
    whole = exact or [name for name in known if asked and all(word in name.casefold().split() for word in asked)]
    return whole[0] if exact or len(whole) == 1 else None


def _with_name(words: Words, start: int, stop: int, typed: str, name: str) -> str:
    """The line with a known name in place of what was typed; what was typed besides the name goes into the note."""
    parts, of_name = typed.split(), name.casefold().split()
    for at in range(len(parts) - len(of_name) + 1):
        if [part.casefold() for part in parts[at : at + len(of_name)]] == of_name:
            besides = as_line([*parts[:at], *parts[at + len(of_name) :]])
            return words.line_of([*words.words[:start], name, *words.words[stop:]], besides)
    return words.replaced(start, stop, name)

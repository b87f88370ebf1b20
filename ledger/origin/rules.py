"""The origin list: what each code says in full words, how claims compare, and what a merged group may be called.

The list is the ledger's own. It is not the source letter of a permit, which is an authority's finding and is stored
only as text copied from a document (CITES Res. Conf. 12.3). Knows no lots and no records.
Generations follow CITES Res. Conf. 10.16: F1 has a parent conceived in or taken from the wild.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from ledger.errors import BadInput
from ledger.wording import say, strung


class Code(StrEnum):
    """The origin list. A code is never shown alone: see `label`."""

    WC = "WC"
    WR = "WR"
    CH = "CH"
    CF = "CF"
    CB = "CB"
    CBU = "CBU"
    MIX = "MIX"
    UNK = "UNK"


WILD_ORIGIN = frozenset({Code.WC, Code.WR, Code.CH, Code.MIX})
"""Codes that count as generation 0: conceived in or taken from the wild, or a group that includes such animals."""

OWN_RECORDS, DOCUMENT, STATEMENT, NO_EVIDENCE = 3, 2, 1, 0

"""The only reason for which lots of different origin may become one."""

ENDING = say("By our records; not a certificate.")
"""The last words of every statement about origin."""

_WORDS = {
    Code.WC: say("wild-collected"),
    Code.WR: say("reared from wild-collected egg or young"),
    Code.CH: say("hatched in captivity, parent mated in the wild"),
    Code.CF: say("farmed, as stated by the supplier"),
    Code.CBU: say("captive bred, generation not known"),
    Code.MIX: say("mixed group that includes wild-origin animals"),
    Code.UNK: say("not known"),
}
_EVIDENCE = (say("none"), say("supplier's or keeper's statement"), say("supplier's document"), say("own records"))
_CHAIN = {Code.UNK: 0, Code.CF: 1, Code.CBU: 2}


@dataclass(frozen=True, slots=True)
class Origin:
    """What may be said of one lot.

    Raises:
        ValueError: generation, range mark or evidence do not fit the code (a mistake of the program; text a keeper
            typed is checked by `read_claim`).
    """

    code: Code
    generation: int | None = None
    """0 for wild origin (filled in), 1 or more for captive bred with a known generation, else None."""
    at_least: bool = False
    """'F2 or later'."""
    evidence: int = NO_EVIDENCE
    """3 own records, 2 supplier's document, 1 supplier's or keeper's statement, 0 none."""
    stated: bool = False
    """A generation or claim that rests on a document, above what the records give: 'stated, not derived'."""
    doubted: bool = False
    """A count went up without an explanation, here or in a lot this one comes from; `evidence` is lowered for it."""

    def __post_init__(self) -> None:
        if self.code in WILD_ORIGIN and self.generation is None:
            object.__setattr__(self, "generation", 0)
        if self.code in WILD_ORIGIN:
            fits = self.generation == 0
        elif self.code is Code.CB:
            fits = self.generation is not None and self.generation >= 1
        else:
            fits = self.generation is None
        if not fits:
            raise ValueError(f"{self.code} cannot have generation {self.generation}")
        if self.at_least and self.code is not Code.CB:
            raise ValueError(f"{self.code} cannot be 'or later'")
        if not NO_EVIDENCE <= self.evidence <= OWN_RECORDS:
            raise ValueError(f"evidence {self.evidence} is not 0 to 3")


def label(origin: Origin) -> str:
    """The origin in full words, as printed on a sale line. Captive bred is always followed by its generation."""
    if origin.code is Code.CB:
        generation = f"F{origin.generation}"
        if origin.at_least:
            generation = say("{generation} or later", generation=generation)
        if origin.stated:
            return say("captive bred, {generation}, stated, not derived", generation=generation)
        return say("captive bred, {generation} by our records", generation=generation)
    marked = origin.stated and origin.code not in (Code.MIX, Code.UNK)
    words = _WORDS[origin.code]
    return say("{origin}; stated, not derived", origin=words) if marked else words


def evidence_in_words(origin: Origin) -> str:
    """What the origin rests on, printed beside the label."""
    grade = _EVIDENCE[origin.evidence]
    if origin.doubted:
        return say("lowered by an unexplained count, worth no more than: {grade}", grade=grade)
    return grade


def strength(origin: Origin) -> tuple[int, int] | None:
    """Place in the order Fn > ... > F1 > captive bred of unknown generation > farmed > not known.

    'F1 or later' stands between F1 and unknown generation: it names a lower bound only.

    Returns:
        A pair to compare, greater is stronger; None for wild origin, which stands outside this order.
    """
    if origin.code in WILD_ORIGIN:
        return None
    if origin.generation is not None:
        return 2 + origin.generation, 0 if origin.at_least else 1
    return _CHAIN[origin.code], 0


def may_claim(claimed: Origin, derived: Origin) -> str | None:
    """Whether a seller may say `claimed` of animals for which the records give `derived`.

    Wild origin may be lowered only to a mixed group or to not known; everything else along `strength`. Neither the
    evidence nor the mark 'stated, not derived' may be improved on the way.

    Returns:
        None if so, else the reason in one sentence.
    """
    ours, theirs = strength(derived), strength(claimed)
    same = (claimed.code, claimed.generation, claimed.at_least) == (
        derived.code,
        derived.generation,
        derived.at_least,
    )
    if not same and ours is None and claimed.code not in (Code.MIX, Code.UNK):
        return say(
            "Our records give “{records}”; that may be lowered only to “{mixed}” or “{unknown}”, not called “{claim}”.",
            records=label(derived),
            mixed=_WORDS[Code.MIX],
            unknown=_WORDS[Code.UNK],
            claim=label(claimed),
        )
    if not same and ours is not None and (theirs is None or theirs > ours):
        return say(
            "“{claim}” cannot be said here: our records give “{records}”; say that or less, or name a "
            "document that shows more.",
            claim=label(claimed),
            records=label(derived),
        )
    if claimed.code is Code.UNK:
        return None
    if derived.stated and not claimed.stated:
        return say(
            "“{claim}” leaves out that the origin is stated, not derived; say “{records}”.",
            claim=label(claimed),
            records=label(derived),
        )
    if claimed.evidence > derived.evidence:
        return say(
            "The evidence for “{records}” is {evidence}; it cannot be given as {claim}.",
            records=label(derived),
            evidence=evidence_in_words(derived),
            claim=evidence_in_words(claimed),
        )
    return None


def may_record(claimed: Origin, derived: Origin, *, documents: str, note: str) -> str | None:
    """Whether a person may set a lot's origin to `claimed` against `derived`: lowering needs a note, raising a
    document.

    Only what is said is compared; `evidence` and `stated` of `claimed` are set by the ledger and do not matter.

    Returns:
        None if so, else the reason in one sentence.
    """
    bare = replace(claimed, evidence=NO_EVIDENCE, stated=derived.stated)
    if may_claim(bare, derived) is None:
        return (
            None if note.strip() else say("Say in a note why the origin is lowered to “{label}”.", label=label(claimed))
        )
    if documents.strip():
        return None
    return say(
        "“{claim}” is not a lowering of what our records give, “{records}”; name the document that shows it.",
        claim=label(claimed),
        records=label(derived),
    )


def lowered(current: Origin, claimed: Origin) -> Origin:
    """`current` brought down to what a person says of it: the claim with no more evidence than there was.

    Raises:
        ValueError: the claim is stronger (ask `may_record` first).
    """
    bare = replace(claimed, evidence=NO_EVIDENCE, stated=current.stated)
    if may_claim(bare, current) is not None:
        raise ValueError(f"{claimed} is not weaker than {current}")
    return replace(bare, evidence=current.evidence, doubted=current.doubted)


def merged(origins: Iterable[Origin]) -> Origin:
    """The origin of a group made of groups with these origins; order and grouping do not matter.

    Equal codes stay (captive bred: the lowest generation, 'or later' where they differ); different codes with any
    wild origin make a mixed group; else with unknown or farmed ones not known; else captive bred of unknown
    generation. The lowest evidence counts.

    Raises:
        ValueError: no origins.
    """
    group = tuple(origins)
    if not group:
        raise ValueError("nothing to merge")
    codes = {one.code for one in group}
    generation: int | None = None
    at_least = False
    if len(codes) == 1:
        (code,) = codes
        if code is Code.CB:
            generations = {one.generation for one in group if one.generation is not None}
            generation = min(generations)
            at_least = len(generations) > 1 or any(one.at_least for one in group)
    elif codes & WILD_ORIGIN:
        code = Code.MIX
    elif codes & {Code.UNK, Code.CF}:
        code = Code.UNK
    else:
        code = Code.CBU
    return Origin(
        code,
        generation,
        at_least,
        evidence=min(one.evidence for one in group),
        stated=any(one.stated for one in group),
        doubted=any(one.doubted for one in group),
    )


def read_claim(code: str, generation: int | None = None) -> Origin:
    """The origin a keeper or a file names by its code, without evidence.

    Raises:
        BadInput: no such code, captive bred without its generation, or a generation where none fits.
    """
    try:
        known = Code(code.strip().upper())
    except ValueError:
        raise BadInput(
            say("“{code}” is not on the origin list; choose one of: {Code}.", code=code, Code=strung(Code, ", ")),
            field="code",
        ) from None
    if known is Code.CB:
        if generation is None or generation < 1:
            raise BadInput(
                say("Captive bred needs its generation, 1 or more; if that is not known, choose CBU."),
                field="generation",
            )
        return Origin(known, generation)
    if generation not in ((None, 0) if known in WILD_ORIGIN else (None,)):
        raise BadInput(
            say("“{origin}” has no generation to give; leave it out, or choose CB.", origin=_WORDS[known]),
            field="generation",
        )
    return Origin(known)


def country_code(text: str) -> str:
    """A country as two capital letters in the form of ISO 3166-1 alpha-2, user-assigned codes (XA to XZ) included.

    Only the form is checked, not whether the code is assigned; empty stays empty.

    Raises:
        BadInput: anything else.
    """
    code = text.strip().upper()
    if code and not re.fullmatch(r"[A-Z]{2}", code, flags=re.ASCII):
        raise BadInput(
            say(
                "“{text}” is not a country code; give two letters as in ISO 3166-1 (FR, JP, or XA for an example).",
                text=text,
            ),
            field="country",
        )
    return code

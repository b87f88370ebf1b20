"""The origin stated on a line of a sale: as derived, or less if the keeper says so; never more."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ledger.errors import BadInput, Refused
from ledger.origin.rules import ENDING, Code, Origin, label, lowered, may_claim, read_claim
from ledger.origin.service import Said, origin_text
from ledger.text import quoted
from ledger.wording import say

_GENERATION = re.compile(r"(?:CB[ ,]*)?F(\d{1,3})( OR LATER)?")


@dataclass(frozen=True, slots=True)
class Stated:
    """What a line says of origin."""

    origin: Origin
    less: bool
    """Less than the records give."""
    text: str
    sentence: str


def read_claim_text(text: str) -> Origin:
    """An origin as a keeper types it on a line: CBU, F2, 'F2 or later', WC, ...

    Raises:
        BadInput: it is none.
    """
    typed = " ".join(text.split()).upper()
    found = _GENERATION.fullmatch(typed)
    if found is None:
        return read_claim(typed)
    if not int(found[1]):
        raise BadInput(say("{text} is no generation; captive bred begins with F1.", text=quoted(text)), "claim")
    return replace(read_claim("CB", int(found[1])), at_least=bool(found[2]))


def stated(lot_code: str, claim: str | None, said: Said, country: str) -> Stated:
    """What a line states of its lot.

    Args:
        lot_code: for the sentence.
        claim: what the keeper wants to say; None: what is derived.
        said: what the records give.
        country: of origin, as stated of the lot; empty if not.

    Raises:
        BadInput: the claim is no origin.
        Refused: it is stronger than the records allow; says why.
    """
    derived = said.derived.origin
    if claim is None or not claim.strip():
        return Stated(derived, False, said.text, said.sentence)
    wanted = read_claim_text(claim)
    if (wanted.code, wanted.generation, wanted.at_least) == (derived.code, derived.generation, derived.at_least):
        return Stated(derived, False, said.text, said.sentence)
    carried = replace(wanted, stated=derived.stated and wanted.code is not Code.UNK)
    against = may_claim(carried, derived)
    if against is not None:
        raise Refused(
            say("{lot_code}: {against}", lot_code=lot_code, against=against),
            "claim",
            {"lot": lot_code, "claim": label(wanted), "derived": label(derived)},
        )
    less = lowered(derived, wanted)
    return Stated(
        less,
        True,
        origin_text(less, country),
        say("{lot_code}: sold as {label}. {ending}", lot_code=lot_code, label=label(less), ending=ENDING),
    )


def reads_as(origin: Origin) -> Mapping[str, object]:
    """An origin as the columns of a sale line hold it."""
    return {
        "origin_code": str(origin.code),
        "origin_generation": origin.generation,
        "origin_or_later": int(origin.at_least),
        "origin_evidence": origin.evidence,
    }

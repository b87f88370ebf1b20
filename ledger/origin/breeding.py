"""What the young of recorded parents may be called: the rules for matings in captivity, in the wild, and unknown.

Pure rules on findings; the search for parents is in `parents`. Sources: CITES Res. Conf. 10.16 (F1 has at least one
parent conceived in or taken from the wild, F2 and later have none) and Notification to the Parties 1998/14 (mating
outside the controlled environment: not captive bred).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from ledger.origin.facts import AnimalRef, Arrival, LotFacts
from ledger.origin.parents import Book, MotherFindings
from ledger.origin.rules import DOCUMENT, OWN_RECORDS, STATEMENT, WILD_ORIGIN, Code, Origin, label
from ledger.wording import say, strung

_MATED_IN_THE_WILD = frozenset({Code.WC, Code.MIX})
"""Codes of animals that, arriving reared, may have mated in the wild; the others were reared in captivity."""


@dataclass(frozen=True, slots=True)
class PossibleParent:
    """One possible parent and why it is one."""

    role: Literal["mother", "father"]
    animal: AnimalRef | None
    """None: not in the records."""
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Young:
    """What may be said of young, with the reasons, the possible parents and what the records lack."""

    origin: Origin
    reasons: tuple[str, ...]
    parents: tuple[PossibleParent, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Verdict:
    """What one mother alone makes of the young: 'not known', 'wild mating', 'unknown generation' or 'bred'."""

    means: Literal["not known", "wild mating", "unknown generation", "bred"]
    reasons: tuple[str, ...] = ()
    gaps: tuple[str, ...] = ()
    evidence: int = OWN_RECORDS
    """The most that the mating in captivity rests on."""


def young(lot: LotFacts, book: Book, origins: Mapping[int, Origin]) -> Young:
    """The origin of the young of a lot that were laid, hatched or harvested here.

    Args:
        lot: the lot of young.
        book: all facts.
        origins: the origin of every lot its possible parents are or were in.
    """
    mothers = book.mothers(lot)
    if not mothers:
        reason = say("{code}: no mother is on record, so the parents are not known.", code=lot.code)
        return Young(Origin(Code.UNK), (reason,), (), (say("no mother on record"), *_missing_dates(lot, False)))
    findings = [book.find(lot, mother) for mother in mothers]
    verdicts = [_verdict(lot, one, book, origins) for one in findings]
    reasons = [reason for verdict in verdicts for reason in verdict.reasons]
    gaps = [gap for verdict in verdicts for gap in verdict.gaps]
    dated = all(any(father.dated for father in one.fathers) for one in findings)
    gaps += _missing_dates(lot, dated)
    means = {verdict.means for verdict in verdicts}
    if "not known" in means:
        origin = Origin(Code.UNK)
        reasons.append(say("{code}: so the origin is not known.", code=lot.code))
    elif "wild mating" in means:
        mated = [origins[lot_id] for one in findings for lot_id, _ in one.earlier]
        evidence = min(one.evidence for one in mated if one.code in _MATED_IN_THE_WILD)
        origin = Origin(Code.CH, evidence=evidence, doubted=any(one.doubted for one in mated))
        reasons.append(say("{code}: so the young count as hatched in captivity, not as captive bred.", code=lot.code))
    else:
        unknown = "unknown generation" in means
        at_most = min(verdict.evidence for verdict in verdicts)
        origin, last = _bred(lot, findings, book, origins, unknown, at_most)
        reasons.append(last)
    return Young(origin, tuple(reasons), _possible(findings, book), tuple(dict.fromkeys(gaps)))


def _verdict(lot: LotFacts, found: MotherFindings, book: Book, origins: Mapping[int, Origin]) -> _Verdict:
    mother = book.name(found.mother)
    if found.came_later:
        said = say(
            "{mother} came only after the young of {code} were laid, so she cannot be the mother",
            mother=mother,
            code=lot.code,
        )
        return _Verdict("not known", (say("{lot}: {reason}.", lot=lot.code, reason=said),), (said,))
    unknown = [one for one in found.earlier if origins[one[0]].code is Code.UNK]
    wild = [one for one in found.earlier if origins[one[0]].code in _MATED_IN_THE_WILD]
    if unknown or wild:
        whence = say("of unknown origin") if unknown else say("from the wild")
        reason = _came_mated(lot, mother, (unknown or wild)[0], book, whence)
        gap = say("whom {mother} mated with before she came is not on record", mother=mother)
        return _Verdict("not known" if unknown else "wild mating", (reason,), (gap,))
    doubts: list[str] = []
    gaps: list[str] = []
    if found.earlier:
        doubts.append(_came_mated(lot, mother, found.earlier[0], book, say("captive")))
        gaps.append(say("whom {mother} mated with before she came is not on record", mother=mother))
    if any(father.animal is None for father in found.fathers):
        doubts.append(say("{code}: a male that is not in the records was with {mother}.", code=lot.code, mother=mother))
        gaps.append(say("a male with {mother} is not in the records", mother=mother))
    if not found.fathers and not book.species[lot.species_id].without_mating:
        doubts.append(
            say("{code}: no male is on record with {mother} in the time that counts.", code=lot.code, mother=mother)
        )
        gaps.append(say("no father on record with {mother}", mother=mother))
    if not doubts:
        return _Verdict("bred")
    if any(father.witnessed for father in found.fathers):
        doubts.append(say("{code}: a mating of {mother} here was seen.", code=lot.code, mother=mother))
        return _Verdict("unknown generation", tuple(doubts), tuple(gaps))
    stranger = any(father.animal is None for father in found.fathers)
    if not stranger and found.earlier and all(_kept_here_before(one, origins) for one in found.earlier):
        doubts.append(
            say("{code}: she was here before the records began, captive bred as the keeper states.", code=lot.code)
        )
        return _Verdict("unknown generation", tuple(doubts), tuple(gaps), STATEMENT)
    doubts.append(say("{code}: no mating of {mother} here was seen.", code=lot.code, mother=mother))
    return _Verdict("not known", tuple(doubts), tuple(gaps))


def _kept_here_before(came: tuple[int, Arrival], origins: Mapping[int, Origin]) -> bool:
    """Opening stock stated as captive bred: the keeper answers for its matings before the records began."""
    return came[1].kind == "opening" and origins[came[0]].code in (Code.CB, Code.CBU)


def _came_mated(lot: LotFacts, mother: str, came: tuple[int, Arrival], book: Book, whence: str) -> str:
    arrival = came[1]
    stage = say("recorded as already mated") if arrival.reared is False else say("reared")
    if arrival.reared is None:
        stage = say("perhaps reared (stage not on record)")
    day = say("on {day}", day=str(arrival.on)) if arrival.on else say("on a day not on record")
    laid = lot.laid_from or lot.laid_to
    young_from = say("the young date from {day}", day=str(laid)) if laid else say("the laying date is not on record")
    kept = book.species[lot.species_id].stored_sperm_days
    sperm = (
        say("sperm is kept for a time that is not known")
        if kept is None
        else say("sperm may be kept for {days} days", days=kept)
    )
    return say(
        "{code}: possible mother {mother} came here {whence}, {stage}, {day}, and is not recorded as a "
        "virgin; {young_from} and {sperm}, so she may have mated before she came.",
        code=lot.code,
        mother=mother,
        whence=whence,
        stage=stage,
        day=day,
        young_from=young_from,
        sperm=sperm,
    )


def _bred(
    lot: LotFacts,
    findings: Sequence[MotherFindings],
    book: Book,
    origins: Mapping[int, Origin],
    unknown: bool,
    at_most: int,
) -> tuple[Origin, str]:
    """Captive bred: one more than the lowest generation, or of unknown generation; with its reason."""
    known = [one.mother for one in findings]
    known += [father.animal for one in findings for father in one.fathers if father.animal is not None]
    parents = list(dict.fromkeys(known))
    theirs = [origins[animal.lot_id] for animal in parents]
    by_name = any(one.fathers and all(father.by_name_only for father in one.fathers) for one in findings)
    doubted = any(one.doubted for one in theirs)
    evidence = min(at_most, STATEMENT if by_name else DOCUMENT if doubted else OWN_RECORDS)
    vague = [animal for animal in parents if origins[animal.lot_id].generation is None]
    if unknown or vague:
        why = say("a possible father is not known")
        if vague:
            why = say("the generation of a possible parent is not known: {named}", named=_named(vague, book, origins))
        reason = say(
            "{code}: mated in captivity; {why}; so the young are captive bred, generation not known.",
            code=lot.code,
            why=why,
        )
        return Origin(Code.CBU, evidence=evidence, doubted=doubted), reason
    lowest, exact = _lowest(findings, book.species[lot.species_id].without_mating, origins)
    colony = any(source.how == "harvested" for source in lot.sources)
    if lowest >= 1:
        evidence = min(evidence, *(one.evidence for one in theirs if one.code is Code.CB))
    origin = Origin(Code.CB, lowest + 1, colony or not exact, evidence, doubted=doubted)
    named = _named([one for one in parents if origins[one.lot_id].generation == lowest], book, origins)
    young = f"F{lowest + 1}"
    if origin.at_least:
        young = say("{generation} or later", generation=young)
    return origin, say(
        "{code}: mated in captivity; the lowest generation among the possible parents is {lowest}, of "
        "{named}; so the young are {generation}.",
        code=lot.code,
        lowest=lowest,
        named=named,
        generation=young,
    )


def _named(animals: Sequence[AnimalRef], book: Book, origins: Mapping[int, Origin]) -> str:
    return strung(
        (say("{animal} ({origin})", animal=book.name(one), origin=label(origins[one.lot_id])) for one in animals),
        say(" and "),
    )


def _lowest(
    findings: Sequence[MotherFindings], without_mating: bool, origins: Mapping[int, Origin]
) -> tuple[int, bool]:
    """Lowest generation over every possible couple, and whether every couple has just that one."""
    couples: list[tuple[int, bool]] = []
    for one in findings:
        mother = origins[one.mother.lot_id]
        fathers = [origins[father.animal.lot_id] for father in one.fathers if father.animal is not None]
        pairs = [(mother, father) for father in fathers] + ([(mother, mother)] if without_mating else [])
        for pair in pairs:
            low = min(parent.generation or 0 for parent in pair)
            couples.append((low, any(parent.generation == low and not parent.at_least for parent in pair)))
    lowest = min(low for low, _ in couples)
    return lowest, all(low == lowest and exact for low, exact in couples)


def _possible(findings: Sequence[MotherFindings], book: Book) -> tuple[PossibleParent, ...]:
    rows: list[PossibleParent] = []
    for one in findings:
        rows.append(PossibleParent("mother", one.mother, book.name(one.mother), say("on record as the mother")))
        for father in one.fathers:
            name = book.name(father.animal) if father.animal else say("a male not in the records")
            rows.append(PossibleParent("father", father.animal, name, father.why))
        if one.earlier:
            why = say("may have mated with {name} before she came", name=book.name(one.mother))
            rows.append(PossibleParent("father", None, say("a male not in the records"), why))
    return tuple(dict.fromkeys(rows))


def _missing_dates(lot: LotFacts, paired: bool) -> tuple[str, ...]:
    missing = []
    if lot.laid_from is None and lot.laid_to is None and not paired:
        missing.append(say("no laying or pairing date on record"))
    if lot.hatched_from is None and lot.hatched_to is None and not lot.unhatched:
        missing.append(say("no hatch date on record"))
    return tuple(missing)


def bred_within(origin: Origin) -> Origin:
    """Young a colony of this origin raised inside itself, without matings on record: one generation on, or later."""
    if origin.generation is None:
        return Origin(Code.CBU, evidence=OWN_RECORDS, doubted=origin.doubted)
    evidence = OWN_RECORDS if origin.code in WILD_ORIGIN else origin.evidence
    return Origin(Code.CB, origin.generation + 1, True, evidence, doubted=origin.doubted)

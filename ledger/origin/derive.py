"""The origin of every lot, derived from the facts, with the reasons in words.

Founders are what was stated of them; young follow `breeding`; splits keep and merges weaken; then a person's lowering
or document, then unexplained counts. Nothing here reads a database or a clock: the same facts give the same answer in
any order. Lots named among their own ancestors contradict themselves and are not known.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from ledger.origin import founders
from ledger.origin.amended import after_claims, after_counts
from ledger.origin.breeding import PossibleParent, Young, bred_within, young
from ledger.origin.circles import sources_first
from ledger.origin.facts import FROM_OTHERS, Exposure, LotFacts, SpeciesFacts, VirginFact
from ledger.origin.parents import Book, born
from ledger.origin.rules import ENDING, Code, Origin, label, merged
from ledger.wording import say, strung


@dataclass(frozen=True, slots=True)
class Derived:
    """What may be said of one lot, and why."""

    lot_id: int
    code: str
    origin: Origin
    """What may be said now."""
    by_records: Origin
    """Before any person lowered or raised it."""
    reasons: tuple[str, ...]
    parents: tuple[PossibleParent, ...]
    gaps: tuple[str, ...]
    """What this lot's own records lack; those of its ancestors stand with them."""
    comes_from: tuple[int, ...]
    """Lots of its possible parents, and lots it was made from; empty for a founder."""
    _links: Mapping[int, Collection[int]] = field(repr=False, compare=False)
    """`comes_from` of every lot."""

    @property
    def chain(self) -> tuple[int, ...]:
        """This lot and every lot it comes from, nearest first, each once."""
        return tuple(self.steps_back())

    def steps_back(self) -> dict[int, int]:
        """The chain with the fewest steps to each lot: 0 for this lot, 1 for what it comes from, and so on."""
        steps = {self.lot_id: 0}
        nearest = [self.lot_id]
        far = 0
        while nearest:
            far += 1
            nearest = sorted({one for near in nearest for one in self._links[near] if one not in steps})
            steps.update(dict.fromkeys(nearest, far))
        return steps

    @property
    def statement(self) -> str:
        """The origin with its reasons as one text."""
        return strung((say("{code}: {label}.", code=self.code, label=label(self.origin)), *self.reasons, ENDING), " ")


@dataclass(frozen=True, slots=True)
class ChangedOrigin:
    """A lot whose origin reads otherwise than before."""

    lot_id: int
    code: str
    before: Origin
    after: Origin


def derive_all(
    lots: Iterable[LotFacts],
    exposures: Iterable[Exposure],
    virgin_facts: Iterable[VirginFact],
    species: Iterable[SpeciesFacts],
) -> dict[int, Derived]:
    """The origin of each lot, by lot id.

    Args:
        lots: every lot, in any order.
        exposures: every exposure.
        virgin_facts: in the order they were recorded, which decides between two of the same day.
        species: every species of the lots.

    Raises:
        KeyError: a fact names a lot or species that is not among those given (a mistake of the program).
    """
    book = Book.of({lot.lot_id: lot for lot in lots}, exposures, virgin_facts, {one.species_id: one for one in species})
    comes_from = {lot_id: _comes_from(lot, book) for lot_id, lot in book.lots.items()}
    needs = {lot_id: comes_from[lot_id] | _behind(lot, book) for lot_id, lot in book.lots.items()}
    derived: dict[int, Derived] = {}
    for circle in sources_first(needs):
        for lot_id in circle:
            lot = book.lots[lot_id]
            if len(circle) > 1 or lot_id in needs[lot_id]:
                found = _own_ancestor(lot)
            else:
                found = _found(lot, book, {one: derived[one].origin for one in needs[lot_id]})
            derived[lot_id] = _derived(lot, found, comes_from)
    return derived


def affected(old: Mapping[int, Derived], new: Mapping[int, Derived]) -> tuple[ChangedOrigin, ...]:
    """Lots present in both whose origin differs in anything that is said of it, by lot id."""
    return tuple(
        ChangedOrigin(lot_id, new[lot_id].code, old[lot_id].origin, new[lot_id].origin)
        for lot_id in sorted(old.keys() & new.keys())
        if old[lot_id].origin != new[lot_id].origin
    )


def _young_here(lot: LotFacts) -> bool:
    """Whether parents matter: young born here, or harvested from a colony."""
    harvested = any(source.how == "harvested" for source in lot.sources)
    return (born(lot) and not _raises_its_own(lot)) or harvested


def _raises_its_own(lot: LotFacts) -> bool:
    """A colony whose young are recorded as born into the colony itself, beside its founders."""
    others = bool(lot.sources) or any(one.kind in FROM_OTHERS or one.kind == "collected" for one in lot.arrivals)
    own = all(mother.lot_id == lot.lot_id for mother in lot.mothers)
    return lot.breeds and born(lot) and others and own


def _comes_from(lot: LotFacts, book: Book) -> set[int]:
    """Lots of the possible parents, and the lots it was made from."""
    near = {source.lot_id for source in lot.sources}
    for mother in book.mothers(lot) if _young_here(lot) else ():
        near.add(mother.lot_id)
        near |= {one.animal.lot_id for one in book.find(lot, mother).fathers if one.animal is not None}
    return near


def _behind(lot: LotFacts, book: Book) -> set[int]:
    """Lots the possible mothers were in before, whose origin says how they may have mated."""
    mothers = book.mothers(lot) if _young_here(lot) else ()
    return {one for mother in mothers for one in book.lots_behind(mother)}


def _derived(lot: LotFacts, found: Young, comes_from: Mapping[int, set[int]]) -> Derived:
    claimed, claim_reasons = after_claims(lot, found.origin)
    origin, count_reasons, count_gaps = after_counts(lot, claimed)
    return Derived(
        lot.lot_id,
        lot.code,
        origin,
        found.origin,
        (*found.reasons, *claim_reasons, *count_reasons),
        found.parents,
        (*found.gaps, *count_gaps),
        tuple(sorted(comes_from[lot.lot_id])),
        comes_from,
    )


def _own_ancestor(lot: LotFacts) -> Young:
    said = say("is named among its own ancestors, so its records contradict themselves")
    return Young(
        Origin(Code.UNK),
        (
            say(
                "{lot} is named among its own ancestors, so its records contradict themselves; its origin is not "
                "known.",
                lot=lot.code,
            ),
        ),
        (),
        (said,),
    )


def _found(lot: LotFacts, book: Book, origins: Mapping[int, Origin]) -> Young:
    """What the records alone say: each way animals came into the lot, and all of them together."""
    parts: list[Young | None] = []
    if any(one.kind in FROM_OTHERS for one in lot.arrivals) or (lot.stated and not lot.arrivals and not lot.sources):
        parts.append(founders.stated(lot))
    if any(one.kind == "collected" for one in lot.arrivals):
        parts.append(founders.collected(lot))
    sources = [source.lot_id for source in lot.sources if source.how != "harvested"]
    if sources:
        parts.append(founders.made_from(lot, sources, book, origins))
    if _young_here(lot):
        parts += [young(lot, book, origins), founders.harvested_founders(lot, book, origins)]
    return _together(lot, [part for part in parts if part is not None])


def _together(lot: LotFacts, parts: list[Young]) -> Young:
    if not parts:
        reason = say("{code}: nothing on record says where it came from.", code=lot.code)
        return Young(Origin(Code.UNK), (reason,), (), (say("no arrival on record"),))
    together = merged(part.origin for part in parts)
    reasons = [reason for part in parts for reason in part.reasons]
    if len({part.origin for part in parts}) > 1:
        reasons.append(
            say(
                "{code}: animals came into it in several ways, so together: {label}.",
                code=lot.code,
                label=label(together),
            )
        )
    if _raises_its_own(lot):
        together = merged((together, bred_within(together)))
        reasons.append(
            say("{code}: raises its own young inside the colony, so: {label}.", code=lot.code, label=label(together))
        )
    return Young(
        together,
        tuple(reasons),
        tuple(parent for part in parts for parent in part.parents),
        tuple(dict.fromkeys(gap for part in parts for gap in part.gaps)),
    )

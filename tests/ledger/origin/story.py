"""Builders for lots and their facts, and the mantid story of the example business."""

from __future__ import annotations

import datetime as dt

from ledger.origin.derive import Derived, derive_all
from ledger.origin.facts import (
    AnimalRef,
    Arrival,
    Exposure,
    LotFacts,
    Source,
    SpeciesFacts,
    Statement,
    VirginFact,
)
from ledger.origin.rules import Code

MANTID = SpeciesFacts(1, stored_sperm_days=180)
STICK = SpeciesFacts(2, stored_sperm_days=60, without_mating=True)
SNAIL = SpeciesFacts(3, stored_sperm_days=730, hermaphrodite=True)
ISOPOD = SpeciesFacts(4, stored_sperm_days=365)
SPECIES = (MANTID, STICK, SNAIL, ISOPOD)


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def came(
    lot_id: int,
    code: str = "WC",
    *,
    on: str = "2024-01-01",
    reared: bool | None = False,
    documents: str = "",
    generation: int | None = None,
    species: int = 1,
    tub: str = "",
    **more: object,
) -> LotFacts:
    """A lot bought in, by default as young animals that cannot have mated."""
    said = Statement(code, generation, evidence=2 if documents else 1, documents=documents, supplier="Tavrin Boxes")
    return LotFacts(
        lot_id,
        f"L{lot_id:02}",
        species,
        arrivals=(Arrival("bought", day(on), tub, reared),),
        stated=said,
        **more,  # type: ignore[arg-type]
    )


def laid(
    lot_id: int,
    *mothers: AnimalRef,
    on: str | None = "2024-06-01",
    hatched: str | None = "2024-07-15",
    species: int = 1,
    **more: object,
) -> LotFacts:
    """A lot laid and hatched here."""
    return LotFacts(
        lot_id,
        f"L{lot_id:02}",
        species,
        arrivals=(Arrival("laid", day(on) if on else None),),
        mothers=mothers,
        laid_from=day(on) if on else None,
        laid_to=day(on) if on else None,
        hatched_from=day(hatched) if hatched else None,
        hatched_to=day(hatched) if hatched else None,
        **more,  # type: ignore[arg-type]
    )


def from_lots(lot_id: int, how: str, *sources: int, on: str = "2024-05-01", **more: object) -> LotFacts:
    """A lot split off or merged from others."""
    made_from = tuple(Source(source, how, day(on)) for source in sources)  # type: ignore[arg-type]
    return LotFacts(lot_id, f"L{lot_id:02}", 1, sources=made_from, **more)  # type: ignore[arg-type]


def pair(
    female: AnimalRef, male: AnimalRef | None, on: str = "2024-04-01", to: str | None = None, *, seen: bool = False
) -> Exposure:
    return Exposure(female, male, day(on), day(to) if to else None, seen)


def derive(
    lots: list[LotFacts], exposures: list[Exposure] | None = None, virgins: list[VirginFact] | None = None
) -> dict[int, Derived]:
    return derive_all(lots, exposures or [], virgins or [], SPECIES)


def short(derived: Derived) -> str:
    """'F1', 'F2 or later', or the code: enough to compare in a test."""
    origin = derived.origin
    if origin.code is Code.CB:
        return f"F{origin.generation}" + (" or later" if origin.at_least else "")
    return str(origin.code)


def mantids() -> tuple[list[LotFacts], list[Exposure]]:
    """Lots H01 to H13 of the example business: two imports from XB, and what was bred from them."""

    def imported(lot_id: int, on: str, *arrivals: Arrival) -> LotFacts:
        said = Statement("WC", evidence=2, country="XB", supplier="Pellow Feeder Farm", documents="import note 7")
        return LotFacts(lot_id, f"H{lot_id:02}", 1, arrivals=arrivals, stated=said, line=f"import {on}")

    def bred(lot_id: int, mother: AnimalRef, laid_on: str, hatched_on: str) -> LotFacts:
        days = (day(laid_on), day(laid_on), day(hatched_on), day(hatched_on))
        arrivals = (Arrival("laid", day(laid_on)), Arrival("hatched", day(hatched_on)))
        return LotFacts(
            lot_id,
            f"H{lot_id:02}",
            1,
            arrivals=arrivals,
            mothers=(mother,),
            laid_from=days[0],
            laid_to=days[1],
            hatched_from=days[2],
            hatched_to=days[3],
        )

    first, second = day("2024-02-03"), day("2025-03-08")
    subadults = [Arrival("bought", first, tub, False, "female") for tub in ("f01", "f02", "f03", "f04")]
    males = [Arrival("bought", first, tub, False, "male") for tub in ("m01", "m02", "m03")]
    f05 = Arrival("bought", first, "f05", True, "female")
    lots = [
        imported(1, "2024-02-03", *subadults, *males, f05),
        bred(2, AnimalRef(1, "f05"), "2024-03-20", "2024-05-02"),
        bred(3, AnimalRef(1, "f01"), "2024-05-10", "2024-06-20"),
        bred(4, AnimalRef(1, "f02"), "2024-05-20", "2024-07-01"),
        bred(5, AnimalRef(1, "f03"), "2024-06-01", "2024-07-12"),
        bred(6, AnimalRef(3, "a"), "2024-12-05", "2025-01-16"),
        bred(7, AnimalRef(4, "a"), "2025-01-04", "2025-02-14"),
        bred(8, AnimalRef(5, "a"), "2025-02-01", "2025-03-14"),
        bred(9, AnimalRef(6, "a"), "2025-08-02", "2025-09-12"),
        bred(10, AnimalRef(7, "a"), "2025-08-20", "2025-09-30"),
        imported(11, "2025-03-08", *(Arrival("bought", second, tub, False, "female") for tub in ("f01", "f02"))),
        bred(12, AnimalRef(11, "f01"), "2025-07-01", "2025-08-12"),
        bred(13, AnimalRef(8, "a"), "2025-09-10", "2025-10-22"),
    ]
    exposures = [
        pair(AnimalRef(1, "f05"), AnimalRef(1, "m01"), "2024-02-20", "2024-03-01"),
        pair(AnimalRef(1, "f01"), AnimalRef(1, "m01"), "2024-04-20", "2024-04-25"),
        pair(AnimalRef(1, "f02"), AnimalRef(1, "m02"), "2024-04-28", "2024-05-03"),
        pair(AnimalRef(1, "f03"), AnimalRef(1, "m03"), "2024-05-10", "2024-05-15"),
        pair(AnimalRef(3, "a"), AnimalRef(4, "m"), "2024-11-10", "2024-11-14"),
        pair(AnimalRef(4, "a"), AnimalRef(5, "m"), "2024-12-10", "2024-12-14"),
        pair(AnimalRef(5, "a"), AnimalRef(3, "m"), "2025-01-10", "2025-01-14"),
        pair(AnimalRef(6, "a"), AnimalRef(7, "m"), "2025-07-10", "2025-07-14"),
        pair(AnimalRef(7, "a"), AnimalRef(8, "m"), "2025-07-20", "2025-07-24"),
        pair(AnimalRef(8, "a"), AnimalRef(6, "m"), "2025-08-20", "2025-08-24"),
        pair(AnimalRef(11, "f01"), AnimalRef(6, "m"), "2025-06-01", "2025-06-05"),
    ]
    return lots, exposures

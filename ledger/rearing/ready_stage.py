"""Which stages animals pass on their way to being ready to sell, and in which they are ready."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.stock.figures import Figures
from ledger.stock.naming import StageRef


def way_of(ladder: Sequence[StageRef], known: Figures, species_id: int) -> tuple[tuple[StageRef, ...], StageRef]:
    """The stages of animals on the way, and the one in which they are ready: the first for sale from the reared on."""
    reared = next(stage.position for stage in ladder if stage.reared)
    ends = [stage for stage in ladder if stage.unit == "animal" and stage.position >= reared]
    ready = next((stage for stage in ends if known.yes(species_id, stage.id, "saleable")), ends[0])
    return tuple(stage for stage in ladder if stage.unit == "animal" and stage.position < ready.position), ready

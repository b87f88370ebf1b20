"""What a lot lost, as a sentence for its page and as lines of text for whoever wants to know why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.charts import Signs, fit
from tui.look import month, percent

if TYPE_CHECKING:
    from ledger.rearing.losses import Losses, StageLoss

ROOM = 30
"""Cells of the longest bar."""
CAUSES = {
    "unknown": "died, cause not known",
    "ordinary": "died, ordinary cause",
    "exceptional": "died, exceptional cause (heater, mould, power cut)",
    "missing": "missing at a count",
    "culled": "culled",
    "dried": "kept as dried specimens",
}
_IN_SHORT = {"unknown": "cause not known", "missing": "missing", "dried": "dried"}


def loss_sentence(lost: Losses) -> str:
    """'51 · L3 48 of 63, 76 % (usual 7 %) · exceptional · Jan 2025 (y)'; y is the key that says more."""
    if not lost.young:
        return "none of this lot was young here"
    if not lost.lost:
        return "none so far"
    worst = max((stage for stage in lost.young if stage.lost), key=lambda stage: stage.beyond)
    said = [f"{lost.lost}", f"{worst.stage} {worst.lost} of {worst.came}, {_share(worst)}"]
    said += [_IN_SHORT.get(cause, cause) for cause, _ in lost.causes[:1]]
    said += [month(max(lost.months, key=lambda one: one[1])[0])] if lost.months else []
    return f"{' · '.join(said)} (y)"


def _share(stage: StageLoss) -> str:
    usual = f" (usual {percent(stage.usual)})" if stage.usual is not None else ""
    return f"{percent(stage.share)}{usual}"


def loss_lines(lost: Losses, signs: Signs) -> list[str]:
    """By stage beside the species' usual, by cause and by month."""
    if not lost.stages:
        return [f"No animals ever came into {lost.lot}."]
    lines = [f"By stage{'lost':>16} {'of':>5} {'share':>7}   usual in other lots of {lost.species}"]
    for stage in lost.stages:
        name = f"{stage.stage} (reared)" if stage.reared else stage.stage
        usual = "too few to say" if stage.usual is None else f"{percent(stage.usual):>6} (of {stage.usual_came})"
        sign = " !" if not stage.reared and stage.usual is not None and stage.share > stage.usual else ""
        lines.append(f"{fit(name, 18)} {stage.lost:>5} {stage.came:>5} {percent(stage.share):>7}  {usual}{sign}")
    lines += ["", "! more than usual. Animals still in a stage are counted in it: a share can rise."]
    if lost.causes:
        lines += ["", "By cause, before the reared stage"]
        lines += [f"{number:>5}  {CAUSES[cause]}" for cause, number in lost.causes]
    if lost.months:
        most = max(number for _, number in lost.months)
        lines += ["", "By month, before the reared stage"]
        lines += [
            f"{fit(month(day), 9)} {number:>4}  {signs.block * max(1, round(number * ROOM / most))}"
            for day, number in lost.months
        ]
    return lines

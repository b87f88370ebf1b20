"""What a lot lost, as a sentence for its page and as lines of text for whoever wants to know why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.wording import say, strung, word
from tui.charts import Signs, fit
from tui.look import month, percent
from tui.tongue import tell

if TYPE_CHECKING:
    from ledger.rearing.losses import Losses, StageLoss

ROOM = 30
"""Cells of the longest bar."""
CAUSES = {
    "unknown": say("died, cause not known"),
    "ordinary": say("died, ordinary cause"),
    "exceptional": say("died, exceptional cause (heater, mould, power cut)"),
    "missing": say("missing at a count"),
    "culled": say("culled"),
    "dried": say("kept as dried specimens"),
}
_IN_SHORT = {"unknown": say("cause not known"), "missing": say("missing"), "dried": say("dried")}


def loss_sentence(lost: Losses) -> str:
    """'51 · worst L3, 48 of 63, 76 % (usual 7 %) · mainly: exceptional · Jan 2025 (L)'; L is the key that says more."""
    if not lost.young:
        return say("none of this lot was young here")
    if not lost.lost:
        return say("none so far")
    worst = max((stage for stage in lost.young if stage.lost), key=lambda stage: stage.beyond)
    said = [
        f"{lost.lost}",
        say(
            "worst {stage}, {lost} of {came}, {share}",
            stage=word(worst.stage),
            lost=worst.lost,
            came=worst.came,
            share=_share(worst),
        ),
    ]
    said += [say("mainly: {cause}", cause=_IN_SHORT.get(cause, word(cause))) for cause, _ in lost.causes[:1]]
    said += [month(max(lost.months, key=lambda one: one[1])[0])] if lost.months else []
    return strung((strung(said, " · "), "(L)"))


def _share(stage: StageLoss) -> str:
    usual = say(" (usual {usual})", usual=percent(stage.usual)) if stage.usual is not None else ""
    return strung((percent(stage.share), usual), "")


def loss_lines(lost: Losses, signs: Signs) -> list[str]:
    """By stage beside the species' usual, by cause and by month."""
    if not lost.stages:
        return [say("No animals ever came into {lot}.", lot=lost.lot)]
    lines = [
        f"{fit(say('By stage'), 18)} {fit(say('lost'), 5, right=True)} {fit(say('of'), 5, right=True)} "
        f"{fit(say('share'), 7, right=True)}   {tell(say('usual in other lots of {species}', species=lost.species))}"
    ]
    for stage in lost.stages:
        name = say("{stage} (reared)", stage=word(stage.stage)) if stage.reared else word(stage.stage)
        usual = (
            say("too few to say")
            if stage.usual is None
            else say("{usual} (of {usual_came})", usual=f"{percent(stage.usual):>6}", usual_came=stage.usual_came)
        )
        sign = " !" if not stage.reared and stage.usual is not None and stage.share > stage.usual else ""
        lines.append(f"{fit(name, 18)} {stage.lost:>5} {stage.came:>5} {percent(stage.share):>7}  {tell(usual)}{sign}")
    lines += ["", say("! more than usual. Animals still in a stage are counted in it: a share can rise.")]
    if lost.causes:
        lines += ["", say("By cause, before the reared stage")]
        lines += [f"{number:>5}  {tell(CAUSES[cause])}" for cause, number in lost.causes]
    if lost.months:
        most = max(number for _, number in lost.months)
        lines += ["", say("By month, before the reared stage")]
        lines += [
            f"{fit(month(day), 9)} {number:>4}  {signs.block * max(1, round(number * ROOM / most))}"
            for day, number in lost.months
        ]
    return lines

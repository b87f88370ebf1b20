"""How long each stage of a species takes: as a rule of time, stage by stage with the range, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.rearing.warmth import WARMTH
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.charts import Bar, Signs
from tui.drawn import Bars, Part, Picture, TimeRule, blocks
from tui.places.page import BACK, ReckonedPage, hanging
from tui.places.pictured import PICTURE, Pictured
from tui.time_rule import Span

if TYPE_CHECKING:
    from ledger.rearing.stage_times import StageTime


class StageTimesPage(Pictured[None], ReckonedPage):
    """The stage times of one species.

    Args:
        species: its code.
    """

    WHERE = "stage-times"
    HELP = say(
        "Each stretch of the rule is a stage, as long as the days it takes; heavy from your own animals, "
        "light (~) where the usual figure stands in. Below, the dot is the time to reckon with and the "
        "heavy part holds the middle half of the animals."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (PICTURE, BACK)

    def __init__(self, species: str) -> None:
        super().__init__()
        self._species = species

    def title_words(self) -> str:
        return say("Stage times of {species}", species=self._species)

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.stage_times, self._species)

    def told(self, answer: object) -> None:
        times: tuple[StageTime, ...] = answer  # type: ignore[assignment]
        self.picture = times_picture(self._species, times)
        lines = times_lines(self.picture, times, self.width, self.desk.signs)
        self.show(self.said(line) for line in lines)


def spans(times: Sequence[StageTime]) -> tuple[Span, ...]:
    """The stages whose time is known, as stretches; ~ before a time that is not all from own animals."""
    return tuple(
        Span(
            word(one.stage),
            one.days,
            say("{days} d", days=f"{'' if one.own_weight == 1 else '~'}{one.days:.0f}"),
            one.own_weight > 0,
        )
        for one in times
        if one.days is not None
    )


def times_picture(species: str, times: Sequence[StageTime]) -> Picture:
    """The rule of time, and each stage with its range."""
    rule = spans(times)
    unknown = [word(one.stage) for one in times if one.days is None]
    drawn: tuple[Part, ...] = ()
    if rule:
        # Of the days shown for each, so that they add up to it.
        whole = sum(round(span.days) for span in rule)
        missing = say(", without {unknown}", unknown=strung(unknown, say(" and "))) if unknown else ""
        rows = tuple(
            Bar(word(one.stage), one.days, _in_words(one), *(one.middle_half or (None, None)))
            for one in times
            if one.days is not None
        )
        drawn = (
            TimeRule(
                say(
                    "Days in each stage before it is reared: {whole} in all{missing}",
                    whole=whole,
                    missing=missing,
                ),
                rule,
            ),
            Bars(say("Days to reckon with, and where the middle half of them lie"), rows),
        )
    return Picture(say("Stage times {species}", species=species), drawn, (*(one.words for one in times), WARMTH))


def _in_words(one: StageTime) -> str:
    # A blend is drawn beside the range of the own animals alone, which it may lie outside of.
    of = {"template": say("usual "), "blended": say("own ")}.get(one.how, "")
    half = ""
    if one.middle_half is not None:
        low, high = (f"{edge:.0f}" for edge in one.middle_half)
        half = (
            say(" ({of}{low})", of=of, low=low)
            if low == high
            else say(" ({of}{low} to {high})", of=of, low=low, high=high)
        )
    days = f"{'' if one.own_weight == 1 else '~'}{one.days:.0f}"
    return say("{days} days{half}", days=days, half=half)


def times_lines(picture: Picture, times: Sequence[StageTime], width: int, signs: Signs) -> list[str]:
    """The whole page."""
    if not times:
        return [say("This species has no stage before the reared one that is counted in animals.")]
    return [
        *blocks(picture.parts, width, signs),
        "",
        *hanging((strung(("· ", said), "") for said in picture.said), width),
    ]

"""The stock over time: how many were alive at the end of each month, of all species or of one."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.widgets import Static

from ledger.wording import counted, say
from tui.actions import Act
from tui.charts import sparkline
from tui.drawn import blocks
from tui.over_time import over_time_picture
from tui.places.page import BACK, ReckonedPage, hanging
from tui.places.pictured import PICTURE, Pictured
from tui.plain import words

if TYPE_CHECKING:
    from ledger.stock.over_time import OverTime


class OverTimePage(Pictured[None], ReckonedPage):
    """The stock over time.

    Args:
        species: code of the one shown first; empty: all together.
    """

    WHERE = "over-time"
    HELP = say(
        "How many were alive at the end of each month, dried specimens left out; the last dot is today. What is "
        "recorded late moves the months it belongs to."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("earlier", "left", say("leaf back"), say("The species before; before the first, all together.")),
        Act("later", "right", say("leaf on"), say("The next species.")),
        PICTURE,
        BACK,
    )

    def __init__(self, species: str = "") -> None:
        super().__init__()
        self._species = species
        self._found: tuple[OverTime, ...] = ()

    def title_words(self) -> str:
        return say("Stock over time")

    def question(self) -> Callable[[], object]:
        from ledger.stock.over_time import alive_over_time

        ledger = self.desk.ledger
        return partial(ledger.ask, alive_over_time, ledger.today)

    def told(self, answer: object) -> None:
        self._found = answer  # type: ignore[assignment]
        self._draw()

    def _at(self) -> int:
        return next((at for at, one in enumerate(self._found) if one.species == self._species), 0)

    def _draw(self) -> None:
        if not self._found:
            first = say("Open a lot with the animals you have: 3 Stock, then n. Its months stand here then.")
            self.show(hanging([say("There are no animals yet."), "", first], self.width))
            return
        one = self._found[self._at()]
        self._species = one.species
        title = say("‹ {species} ›  Stock over time", species=one.species or say("all species"))
        self.query_one("#page-title", Static).update(words(title, "bold"))
        self.picture = over_time_picture(one)
        course = sparkline([float(alive) for _, alive in one.months], width=self.width, signs=self.desk.signs)
        self.show([*blocks(self.picture.parts, self.width, self.desk.signs), "", *course])
        # The months before may be above the edge: today is what one looks from.
        self.call_after_refresh(self.query_one(VerticalScroll).scroll_end, animate=False)
        self.foot.sum_up(counted(one.months[-1][1], "{n} alive today", "{n} alive today"))

    def _leaf(self, step: int) -> None:
        if self._found:
            self._species = self._found[(self._at() + step) % len(self._found)].species
            self._draw()

    def action_earlier(self) -> None:
        """The species before."""
        self._leaf(-1)

    def action_later(self) -> None:
        """The next species."""
        self._leaf(1)

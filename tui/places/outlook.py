"""What is coming on: for one species at a time how many become ready week by week, and how earlier outlooks did.

The outlook is reckoned aside. The first of a day is kept, so that it can be held against what comes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextvars import copy_context
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.timer import Timer
from textual.widgets import Static
from textual.worker import get_current_worker

from ledger.errors import Refused
from ledger.stock.words import stage_words
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.charts import Bar, Signs, progress
from tui.drawn import Bars, Picture, blocks
from tui.look import short, without_year
from tui.places.page import BACK, ReckonedPage, hanging
from tui.places.pictured import PICTURE, Pictured
from tui.plain import drawing, parts
from tui.threads import forgetful

if TYPE_CHECKING:
    from ledger.days import Order
    from ledger.ledger import Ledger
    from ledger.rearing.coming import Coming, Range
    from ledger.rearing.kept import Record
    from tui.reckoner import Reckoner


BEAT, BAR = 0.1, 40
"""Seconds from one look at how far it is to the next, and the cells of the bar that shows it."""
MANY, WRITING = 50, "writing"
"""Lots whose lines are not written out between two keys, and the worker that does."""


@dataclass(frozen=True, slots=True)
class Found:
    """Every outlook, how earlier ones did, and whether today's is kept."""

    outlooks: tuple[Coming, ...]
    records: tuple[Record, ...]
    kept: str
    """A sentence when it was kept just now, or could not be."""


@dataclass(slots=True)
class Reckoning:
    """How far one reckoning is; whoever does it looks here whether it is still wanted."""

    share: float = 0.0
    stopped: bool = False

    def told(self, share: float | None = None) -> None:
        """Note how far it is, if that is known. Raises Refused when it is no longer wanted."""
        if self.stopped:
            raise Refused(say("The outlook was stopped before it was done; nothing was kept."))
        if share is not None:
            self.share = share


class OutlookPage(Pictured[None], ReckonedPage):
    """The outlook of one species after another.

    Args:
        species: code of the one to begin with; else the first that has an outlook.
    """

    WHERE = "outlook"
    TELLS_HOW_FAR = True
    WIDEST = 100
    HELP = say(
        "How many animals become ready in each coming week, and in all by then. The dot is what is to be "
        "expected; the heavy stretch is the range that holds in four cases of five. The first outlook of "
        "a day is kept and later held against what came. It assumes that none of the young are sold "
        "before and that the room stays as it is. While it is reckoned a bar shows how far it is; Escape "
        "stops it, and then nothing is kept."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("earlier", "left", say("leaf back"), say("The outlook of the species before."), shown=False),
        Act("later", "right", say("leaf on"), say("The outlook of the next species.")),
        PICTURE,
        BACK,
    )

    def __init__(self, species: str = "") -> None:
        super().__init__()
        self._species = species
        self._found: Found | None = None
        self._reckoning = Reckoning()
        self._bar: Timer | None = None

    def title_words(self) -> str:
        return say("Coming on")

    def read_anew(self) -> None:
        self._reckoning.stopped = True
        self._reckoning = Reckoning()
        self._show_progress()
        if self._bar is None:
            self._bar = self.set_interval(BEAT, self._show_progress)
        super().read_anew()

    def question(self) -> Callable[[], object]:
        return _question(self.desk.ledger, self.desk.reckoner, self._reckoning)

    def told(self, answer: object) -> None:
        assert isinstance(answer, Found)
        self._done()
        self._found = answer
        self._draw()

    def refused(self, refusal: Refused) -> None:
        self._done()
        self.picture = None
        super().refused(refusal)

    def action_back(self) -> None:
        """Stop what is being reckoned, and leave."""
        self._reckoning.stopped = True
        super().action_back()

    def _show_progress(self) -> None:
        """How far it is: a bar where the answer will stand, and in words while an older answer stands there."""
        if self.redrawing:
            return
        share = self._reckoning.share
        self.foot.sum_up(say("reckoning ... {share} %", share=f"{share * 100:.0f}"))
        if self._found is None:
            bar = progress(share, width=min(BAR, self.width - 6), signs=self.desk.signs)
            self.query_one("#page-text", Static).update(drawing([say("Reckoning ... Escape stops it."), "", bar]))

    def _done(self) -> None:
        if self._bar is not None:
            self._bar.stop()
            self._bar = None
        self.foot.sum_up("")

    def _draw(self) -> None:
        found = self._found
        if found is None:
            return
        if not found.outlooks:
            self.picture = None
            none = say("No animals are on the way: nothing alive is in a stage before the one that is sold as reared.")
            first = say("Open a lot with eggs or young: 3 Stock, then n. The weeks ahead are reckoned from it.")
            self.show(hanging([none, "", first], self.width))
            return
        codes = [one.species for one in found.outlooks]
        at = codes.index(self._species) if self._species in codes else 0
        one = found.outlooks[at]
        self._species = one.species
        code = f"‹ {one.species} ›" if len(codes) > 1 else one.species
        title = strung((code, word(one.common)), "  ")
        self.query_one("#page-title", Static).update(
            parts(
                (title, "bold"),
                (
                    say("  {at} of {codes} species", at=at + 1, codes=len(codes)) if len(codes) > 1 else "",
                    "$quiet",
                ),
            )
        )
        self.picture = outlook_picture(one, found.records, self.desk.order)
        if len(one.lots) > MANY:
            # What stands above the lots at once, and all of it as soon as it is written out.
            self.show(self._lines(replace(one, lots=()), self.picture, found.kept))
            self._write_out(one, self.picture, found.kept)
        else:
            self.workers.cancel_group(self, WRITING)
            self.show(self._lines(one, self.picture, found.kept))

    def _lines(self, one: Coming, picture: Picture, kept: str) -> list[str]:
        lines = outlook_lines(one, picture, kept, self.width, self.desk.signs, self.desk.order)
        return [self.said(line) for line in lines]

    def _write_out(self, one: Coming, picture: Picture, kept: str) -> None:
        """Write the lines of many lots aside."""
        # A thread does not know by itself what language is spoken here.
        spoken = copy_context().run

        def write() -> None:
            lines = spoken(self._lines, one, picture, kept)
            if not get_current_worker().is_cancelled:
                self.app.call_from_thread(self._written, picture, lines)

        self.run_worker(forgetful(write), group=WRITING, exclusive=True, thread=True)

    def _written(self, picture: Picture, lines: list[str]) -> None:
        if self.picture is picture and self.is_mounted and not self.redrawing:
            self.show(lines)

    def action_earlier(self) -> None:
        """The species before."""
        self._step(-1)

    def action_later(self) -> None:
        """The next species."""
        self._step(1)

    def _step(self, step: int) -> None:
        if self._found is None or not self._found.outlooks:
            return
        codes = [one.species for one in self._found.outlooks]
        self._species = codes[(codes.index(self._species) + step) % len(codes)]
        self._draw()
        self.query_one(VerticalScroll).scroll_home(animate=False)


def _question(ledger: Ledger, reckoner: Reckoner, reckoning: Reckoning) -> Callable[[], object]:
    def ask() -> Found:
        from ledger.rearing.commands import KeepOutlook
        from ledger.rearing.kept import kept_on

        outlooks = reckoner.call(ledger.coming, reckoning.told)
        reckoning.told(1.0)
        kept = ""
        if any(one.weeks for one in outlooks) and not ledger.ask(kept_on, ledger.today):
            try:
                command = KeepOutlook(outlooks)
                kept = ledger.do(command, token=say("outlook {today}", today=ledger.today), source="screen").sentence
            except Refused as refused:
                kept = say("This outlook was not kept. {sentence}", sentence=refused.sentence)
        return Found(outlooks, ledger.outlook_record(), kept)

    return ask


def outlook_picture(one: Coming, records: Sequence[Record], order: Order) -> Picture:
    """The weeks as bars, each with its range and the running total."""
    from ledger.rearing.kept import score

    rows = tuple(
        Bar(
            say("from {without_year}", without_year=without_year(week.first, order)),
            week.ready.mean,
            _range(week.ready),
            week.ready.low,
            week.ready.high,
            after=say("in all {range}", range=_range(week.running)),
        )
        for week in one.weeks
    )
    said = [strung((one.words, "."), "")]
    if one.hardening:
        said.append(say("Hardening of {hardening} days is counted in.", hardening=one.hardening))
    if one.promised:
        free = say(", which leaves {range}", range=_range(one.weeks[-1].free)) if one.weeks else ""
        said.append(
            say(
                "{promised} of those on the way are promised or kept back; the first ready are theirs{free}.",
                promised=one.promised,
                free=free,
            )
        )
    said.append(score(one.species, records))
    heading = say(
        "{stage} ready in the week · in all by its end (in four cases of five)", stage=word(stage_words(one.stage, 2))
    )
    return Picture(
        say("Outlook {species} {on}", species=one.species, on=one.on),
        (Bars(heading, rows),) if rows else (),
        tuple(said),
    )


def _range(one: Range) -> str:
    return say("{mean} ({low} to {high})", mean=f"{one.mean:.0f}", low=one.low, high=one.high)


def outlook_lines(one: Coming, picture: Picture, kept: str, width: int, signs: Signs, order: Order) -> list[str]:
    """The whole page: the sentences, the bars, lot by lot, and what it rests on."""
    lines = [*hanging(picture.said, width), "", *blocks(picture.parts, width, signs)]
    if one.lots:
        lines += ["", say("Lot by lot")]
    for lot in one.lots:
        there = strung((strung((str(count), word(stage_words(stage, count)))) for stage, count in lot.stages), ", ")
        half = say(", half of them by {half_by}", half_by=short(lot.half_by, order)) if lot.half_by is not None else ""
        lines += hanging(
            [
                say(
                    "{lot}: {there}; about {ready} within these weeks{half}",
                    lot=lot.lot,
                    there=there,
                    ready=f"{lot.ready:.0f}",
                    half=half,
                )
            ],
            width,
        )
    for title, remarks in ((say("Left out"), one.left_out), (say("What it rests on"), one.rests_on)):
        if remarks:
            lines += ["", title, *hanging((strung(("· ", remark), "") for remark in remarks), width)]
    if kept:
        lines += ["", *hanging([kept], width)]
    return lines

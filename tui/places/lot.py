"""One lot: its stages as a rule, where it comes from, what it cost so far, and everything that was recorded of it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual.widget import Widget
from textual.widgets import Static

from ledger.errors import Refused
from ledger.money import amount_text
from ledger.stock.kin import young_of
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.aside import Aside
from tui.charts import Place as Stage
from tui.charts import stage_strip
from tui.forms.animals import CountForm, DriedForm, GoneForm, MoveOnForm, SplitForm, TakeBackForm
from tui.forms.promising import HoldForm
from tui.forms.selling import SaleForm
from tui.losses import loss_lines, loss_sentence
from tui.places.listing import ListPage
from tui.places.of_a_lot import MORE, PURPOSE, TOGETHER
from tui.places.page import BACK, AskedPage
from tui.plain import drawing, parts, words
from tui.time_rule import time_rule
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.costs.so_far import CostSoFar
    from ledger.ledger import Ledger
    from ledger.origin.provenance import Provenance
    from ledger.rearing.losses import Losses
    from ledger.rearing.report import RearingRow
    from ledger.rearing.stage_times import StageTime
    from ledger.stock.stock_rows import LotRow
    from ledger.stock.story import StoryRow


TALL = 30
"""Lines of a screen on which the whole head leaves room for the story."""
Figures = tuple["CostSoFar", tuple["RearingRow", ...], "Losses", tuple["StageTime", ...]]


def _origin(ledger: Ledger, code: str) -> tuple[Provenance, tuple[str, ...]]:
    """Where a lot comes from, and its young."""
    return ledger.origin(code), ledger.ask(young_of, code)


def _figures(ledger: Ledger, code: str, species: str) -> Figures:
    """What of a lot takes a look at the whole ledger."""
    from ledger.costs.so_far import cost_so_far
    from ledger.rearing.losses import losses

    today = ledger.today
    lost = ledger.ask(losses, code, today)
    return ledger.ask(cost_so_far, code, today), ledger.rearing(lot=code), lost, ledger.stage_times(species)


class LotPage(ListPage, Aside[None]):
    """The page of one lot."""

    WHERE = "lot"
    HELP = say(
        "The rule shows the stages of the species, heavy where animals are. Below it the days each "
        "takes: heavy from your own animals, light (~) the usual figure. Then everything recorded of the "
        "lot, newest first. What was recorded by mistake is taken back (x), never edited."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("gone", "d", say("died"), say("Record animals that died, are missing, were given away.")),
        Act("dried", "ctrl+d", say("dried"), say("Record animals that are kept as dried specimens."), shown=False),
        Act("move_on", "m", say("moved on"), say("Record animals that moved on to the next stage.")),
        Act("count", "c", say("count"), say("Record a count.")),
        Act("sell", "s", say("sell"), say("Sell from this lot.")),
        Act("hold", "h", say("hold"), say("Promise animals of this lot to a buyer."), shown=False),
        Act("split", "slash", say("split"), say("Split part of it off as a lot of its own."), shown=False),
        Act(
            "origin",
            "less_than_sign",
            say("origin"),
            say("Where it comes from, lot by lot back to its founders, with the gaps."),
        ),
        Act("rearing", "R", say("rearing{act}", act=""), say("Its survival curve and what one reared adult cost.")),
        Act("times", "t", say("stage times"), say("How long each stage takes, and what that rests on.")),
        Act("decide", "D", say("decide"), say("Weigh selling its young now against rearing them on.")),
        Act(
            "losses", "L", say("losses"), say("What was lost, at which stage, of what and when, beside what is usual.")
        ),
        Act("explain", "e", say("explain"), say("What its cost is made of, and why it is dearer than another lot.")),
        Act("take_back", "x", say("take back"), say("Take back the movement the cursor is on.")),
        MORE,
        BACK,
    )
    BY_WORD = (TOGETHER, PURPOSE)
    COLUMNS = (
        Column(say("day"), 12),
        Column(say("what happened")),
        Column(say("entry"), 6, right=True, above=ROOMY),
        Column(say("by"), 10, above=110),
    )
    EMPTY = (say("Nothing is recorded of this lot."), say("Write what happened: space"))

    def __init__(self, code: str, movement: int | None = None) -> None:
        """Args: code of the lot; movement: the one to put the cursor on, else the newest."""
        super().__init__()
        self.code = code
        self._movement = movement
        self._species = ""
        self._story: dict[str, StoryRow] = {}

    def title_words(self) -> str:
        return say("Lot {code}", code=self.code)

    def body(self) -> Iterable[Widget]:
        yield Static(id="lot-title", markup=False, classes="line")
        yield Static(id="lot-strip", markup=False, classes="line")
        times = Static(words(say("Days in each stage ...\n"), "$quiet"), id="lot-times", markup=False, classes="line")
        times.display = not self.small
        yield times
        yield Static(id="lot-origin", markup=False, classes="line")
        yield Static(words(say("Cost so far: adding up ..."), "$quiet"), id="lot-cost", markup=False, classes="line")
        yield Static(id="lot-losses", markup=False, classes="line")
        yield from super().body()

    def all_rows(self) -> list[Row]:
        rows = list(enumerate(self.desk.ledger.story(self.code)))[::-1]
        self._story = {str(at): row for at, row in rows}
        prefix = f"{self.code}: "
        made = []
        for key, row in self._story.items():
            style = "" if row.stands else "strike $quiet"
            day = f"–{self.day(row.on)}" if row.since and row.since != row.on else self.day(row.on)
            said = self.said(row.text).removeprefix(prefix) + (f" ({row.note})" if row.note else "")
            made.append(Row(key, (day, (said, style), str(row.entry or ""), row.by)))
        return made

    def read_anew(self) -> None:
        ledger = self.desk.ledger
        (found,) = ledger.lots(lot=self.code, empty=True)
        self._draw_head(found)
        for name in ("#lot-losses", "#lot-cost"):
            self.query_one(name, Static).display = not self.small
        super().read_anew()
        self._go_to_movement()
        self.run_worker(self._draw_origin(), group="origin", exclusive=True)
        self.ask_aside(partial(_figures, ledger, self.code, self._species))

    async def _draw_origin(self) -> None:
        # Aside, and not in its turn behind what takes long: it is what a buyer is told.
        chain, young = await asyncio.to_thread(_origin, self.desk.ledger, self.code)
        evidence = "" if self.small else say(" · evidence: {evidence}", evidence=chain.evidence)
        of_it = say(" · young: {lots}", lots=strung(young, " ")) if young else ""
        # None while the screen is made anew in another language: then it is asked again.
        for line in self.query("#lot-origin").results(Static):
            line.update(parts((say("Origin: "), "$quiet"), chain.origin, (evidence, "$quiet"), (of_it, "$quiet")))

    def _go_to_movement(self) -> None:
        """The cursor on the movement the page was opened for, once."""
        wanted, self._movement = self._movement, None
        key = next((key for key, row in self._story.items() if wanted is not None and row.movement == wanted), None)
        while key is not None and self.rows.more and not self.rows.holds(key):
            self.rows.read_more()
        self.rows.go_to(key)

    @property
    def small(self) -> bool:
        """Whether the head leaves out what a key shows as well (t, w, y, e), so that the story has room on a phone."""
        return self.app.size.width < ROOMY and self.app.size.height < TALL

    def _draw_head(self, row: LotRow) -> None:
        self._species = row.species
        began = self.day(row.started_on)
        if row.started_from != row.started_on:
            began = say("{day} to {until}", day=self.day(row.started_from), until=began)
        about = [
            strung((word(row.common), f"({row.species})")),
            say("started {began}", began=began),
            say("for {purpose}", purpose=word(row.purpose or "sale")),
        ]
        about = about[:1] if self.small else about
        about += [row.place] if row.place else []
        about += [say("{tubs} tubs", tubs=row.tubs)] if row.tubs else []
        self.query_one("#lot-title", Static).update(
            parts((self.code, "bold $primary"), strung(("  ", strung(about, " · ")), ""))
        )
        counts = {stage.stage: stage for stage in row.stages}
        ladder = [name for name, _ in self.desk.jot_setting().vocabulary.stages[self.code]]
        strip = [
            Stage(
                word(name), counts[name].count if name in counts else 0, counts[name].by_sex if name in counts else ""
            )
            for name in ladder
        ]
        width = max(self.app.size.width - 2, 20)
        self.query_one("#lot-strip", Static).update(drawing(stage_strip(strip, width=width, signs=self.desk.signs)))

    def detail(self, key: str) -> str:
        """Where a row has no room for all of it, below the list."""
        row = self._story[key]
        return self.said(row.text).removeprefix(f"{self.code}: ") if self.app.size.width < ROOMY else ""

    def sum_up(self) -> str:
        return counted(self.rows.held, "{n} thing recorded", "{n} things recorded")

    def told(self, answer: object) -> None:
        cost, rows, lost, times = cast(Figures, answer)
        self._draw_times(times)
        currency = self.desk.ledger.currency
        said = say(
            "{amount} {code} on {animals} alive",
            amount=amount_text(cost.shown, currency),
            code=currency.code,
            animals=cost.animals,
        )
        if not cost.known:
            said += say(", without what was spent before the ledger was opened")
        reared = next((row for row in rows if row.cost_shown is not None), None)
        if reared is not None and reared.cost_shown is not None:
            said += say(
                " · {cost_per_reared} for each of {cost_reached} reared",
                cost_per_reared=amount_text(reared.cost_shown, currency),
                cost_reached=reared.cost_reached,
            )
            said += say(" so far") if reared.pending else ""
        self.query_one("#lot-cost", Static).update(parts((say("Cost so far: "), "$quiet"), said))
        self.query_one("#lot-losses", Static).update(parts((say("Lost young: "), "$quiet"), loss_sentence(lost)))

    def _draw_times(self, times: tuple[StageTime, ...]) -> None:
        from tui.places.stage_times import spans

        width = max(self.app.size.width - 2, 20)
        rule = time_rule(spans(times), width=width, signs=self.desk.signs)
        # A colony, or a species nothing is known of, has no rule; its line goes.
        self.query_one("#lot-times", Static).display = bool(rule) and not self.small
        self.query_one("#lot-times", Static).update(drawing(rule))

    def refused(self, refusal: Refused) -> None:
        self.query_one("#lot-cost", Static).update(words(say("! {sentence}", sentence=refusal.sentence), "$warning"))

    # --- actions -----------------------------------------------------------------------------------------------------

    async def action_gone(self) -> None:
        """Died, missing, given away."""
        await self.desk.open_form(GoneForm(self.code))

    async def action_dried(self) -> None:
        """Kept as dried specimens."""
        await self.desk.open_form(DriedForm(self.code))

    async def action_move_on(self) -> None:
        """To another stage."""
        await self.desk.open_form(MoveOnForm(self.code))

    async def action_count(self) -> None:
        """A count."""
        await self.desk.open_form(CountForm(self.code))

    async def action_sell(self) -> None:
        """Sell from it."""
        await self.desk.open_form(SaleForm(self.code))

    async def action_hold(self) -> None:
        """Hold from it."""
        await self.desk.open_form(HoldForm(self.code))

    async def action_split(self) -> None:
        """Split it."""
        await self.desk.open_form(SplitForm(self.code))

    async def action_origin(self) -> None:
        """The provenance sheet."""
        await self.desk.open_origin(self.code)

    async def action_rearing(self) -> None:
        """Survival and cost."""
        from tui.places.rearing import RearingPage

        await self.desk.open_form(RearingPage(lot=self.code))

    async def action_times(self) -> None:
        """Stage times of its species."""
        from tui.places.stage_times import StageTimesPage

        await self.desk.open_form(StageTimesPage(self._species))

    async def action_decide(self) -> None:
        """Sell now or rear on."""
        from tui.forms.decide import RearOrSell
        from tui.places.decide import choose_decision

        young = [row for row in self.desk.ledger.stock(lot=self.code) if not row.reared and row.unit == "animal"]
        if any(row.count for row in young):
            await self.desk.open_form(RearOrSell(self.code))
        else:
            # Nothing is left to be sold young; what to start and to ask is of the species.
            await choose_decision(self.desk, "", self._species)

    async def action_losses(self) -> None:
        """What was lost, and whether that is usual."""
        from ledger.rearing.losses import losses

        ledger = self.desk.ledger
        asked = partial(ledger.ask, losses, self.code, ledger.today)
        await self.desk.open_form(
            AskedPage(say("What {code} lost", code=self.code), asked, lambda found: loss_lines(found, self.desk.signs))
        )

    async def action_explain(self) -> None:
        """Its cost taken apart."""
        from tui.places.explain import WhyPage

        await self.desk.open_form(WhyPage(lot=self.code))

    async def action_take_back(self) -> None:
        """Take back the movement under the cursor."""
        row = self._story.get(self.chosen or "")
        if row is None:
            return
        if row.movement is not None and row.stands:
            await self.desk.open_form(TakeBackForm(str(row.movement), row.entry))
        else:
            self.desk.say(Answer(say("Only a movement of animals that still stands is taken back here.")))

    async def action_purpose(self) -> None:
        """What it is for."""
        from tui.forms.lot_facts import FactForm

        await self.desk.open_form(FactForm(self.code, "purpose"))

    async def action_together(self) -> None:
        """A pair of it is put together."""
        from tui.forms.origin import TogetherForm

        await self.desk.open_form(TogetherForm(self.code))

    async def action_more(self) -> None:
        """What else can be said of it."""
        from tui.places.lot_more import ask_more

        await ask_more(self.desk, self.code)

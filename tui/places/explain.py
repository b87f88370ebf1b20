"""Why a figure is what it is: its parts by one thing after another, two lots side by side, and where a cost went.

Shows what the ledger answers; reckons nothing but the widths of its columns. Enter goes down to the record a row came
from: what was bought that is in it, and then where that cost went; a movement in the story of its lot; a sale.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.widget import Widget
from textual.widgets import Static

from ledger.errors import Refused
from ledger.money import Currency, amount_text
from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.charts import Signs, beside, fit
from tui.places.listing import LIST_ACTS, Drawn, FindPage, ReckonedList
from tui.places.page import BACK, ReckonedPage, hanging
from tui.plain import drawing, words
from tui.tongue import word
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer as Said
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.costs.explain.answers import Answer, Line, Versus
    from ledger.costs.explain.parts import Key
    from ledger.ledger import Ledger

BAR = 12
AMOUNT = 10
NARROW = 60
"""Below this there is no room for bars."""
TOTAL = "adds up to"
"""Key of the last row."""
OPEN = Act(
    "open",
    "enter",
    say("open"),
    say("What this row came from: what was bought that is in it, the cost, the movement, the sale."),
)
NEXT_PART = Act(
    "next_part", "b", say("by ..."), say("Take it apart by the next thing: category, stage, month, entry ...")
)


class ExplainPage(ReckonedList, FindPage):
    """A figure with its parts. A subclass says what is asked."""

    WHERE = "explain"
    HELP = say(
        "A figure and what it is made of; the parts add up to it to the last coin. b takes it apart by "
        "the next thing: by category, by stage, by month, by what was bought. Enter goes down to the record a row "
        "came from, esc goes up again."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (OPEN, NEXT_PART, LIST_ACTS[0], BACK)
    EMPTY = (say("There is nothing in this figure."), say("esc goes back to where you came from"))
    FIRST = "category"
    """By what it is taken apart first."""

    def __init__(self) -> None:
        super().__init__()
        self._by = self.FIRST
        self._inside: tuple[str, str, Line] | None = None
        """Of a row that was opened: by what it was cut out, its key in that list, and the row."""
        self._back_to = ""
        self._found: Answer | None = None

    def about(self) -> str:
        """What is asked about."""
        raise NotImplementedError

    def asked(self, ledger: Ledger, by: str, inside: Key | None) -> Callable[[], Answer]:
        """What is asked of the ledger; `inside`: what was bought that is in this part alone."""
        raise NotImplementedError

    def title_words(self) -> str:
        return say("Explain: {about}", about=self.about())

    def body(self) -> Iterable[Widget]:
        yield Static(words(self.title_words(), "bold"), id="page-title", markup=False, classes="line")
        yield Static(words(say("Reckoning ..."), "$quiet"), id="explained", markup=False, classes="line")
        yield from super().body()

    def columns(self) -> tuple[Column, ...]:
        whole = self._found is None or self._found.number is not None
        code = self.desk.ledger.currency.code
        return (
            Column(word(self._found.by) if self._found is not None else "", most=90),
            Column("", BAR, above=ROOMY),
            Column(say("in all") if whole else "", AMOUNT, right=True),
            Column(say("{code} each", code=code) if whole else code, AMOUNT, right=True),
        )

    def question(self) -> Callable[[], object]:
        key = self._inside[2].key if self._inside is not None else None
        return self.asked(self.desk.ledger, self._by, key)

    def told(self, answer: object) -> None:
        found: Answer = answer  # type: ignore[assignment]
        self._found = self.narrowed(found)
        self.query_one("#explained", Static).update(drawing(self._head(self._found)))
        self.rows.lay_out(self.columns())
        super().told(self._found)
        self.rows.go_to(self._back_to or "0")
        self._back_to = ""

    def narrowed(self, found: Answer) -> Answer:
        """The answer as far as it is wanted."""
        return found

    def refused(self, refusal: Refused) -> None:
        # It stands above the list, in full; the foot would say it once more, cut.
        self.foot.sum_up("")
        said = say("! {sentence}", sentence=self.said(refusal.sentence))
        self.query_one("#explained", Static).update(words(said, "$warning"))

    def _head(self, found: Answer) -> list[str]:
        """The figure, and by what it can be taken apart."""
        from ledger.costs.explain.words import figure_words

        width = max(self.app.size.width - 2, 20)
        lines = hanging([self.said(figure_words(found, self.desk.ledger.currency))], width)
        if self._inside is not None:
            return lines
        ways = strung((strung(("[", word(way), "]"), "") if way == found.by else word(way) for way in found.axes), "  ")
        return [*lines, *hanging([say("by {ways}", ways=ways)], width)]

    def rows_of(self, answer: object) -> Sequence[Row]:
        found = self._found
        assert found is not None
        currency, signs = self.desk.ledger.currency, self.desk.signs
        largest = max((abs(line.exact) for line in found.lines), default=0)
        whole = found.number is not None

        def row(key: str, name: str, bar: str, in_all: int, shown: int, style: str = "") -> Row:
            cells = (name, bar, amount_text(in_all, currency) if whole else "", amount_text(shown, currency))
            return Row(key, tuple((cell, style) for cell in cells) if style else cells)

        def part(numbered: tuple[str, Line | None]) -> Row:
            key, line = numbered
            if line is None:
                return row(key, say("adds up to"), "", found.in_all, found.shown, "bold")
            bar = signs.block * round(BAR * abs(line.exact) / largest) if largest else ""
            return row(key, called(line, self.said), bar, line.in_all, line.shown)

        parts = [(str(at), line) for at, line in enumerate(found.lines)]
        return Drawn([*parts, (TOTAL, None)], part) if parts else []

    def detail(self, key: str) -> str:
        line = self._line(key)
        return called(line, self.said) if line is not None and self._is_cut(line) else ""

    def _not_seen(self, detail: str) -> str:
        """All that a narrow screen leaves out is the drawing."""
        return ""

    def _is_cut(self, line: Line) -> bool:
        """Whether the name of a row may not have had room, so that it is said below in full."""
        amounts = 2 if self._found is None or self._found.number is not None else 1
        bar = BAR + 2 if self.app.size.width >= ROOMY else 0
        return len(called(line, self.said)) > self.app.size.width - 4 - bar - amounts * (AMOUNT + 2)

    def remark(self) -> str:
        found = self._found
        if found is None:
            return ""
        why = (say("{why}.", why=found.no_each),) if found.no_each else ()
        return strung((say("· {note}", note=note) for note in (*why, *found.notes)), "\n")

    def sum_up(self) -> str:
        number = 0 if self._found is None else len(self._found.lines)
        return counted(number, "{n} part", "{n} parts")

    def _line(self, key: str | None) -> Line | None:
        if self._found is None or key is None or key == TOTAL:
            return None
        return self._found.lines[int(key)]

    def action_next_part(self) -> None:
        """By the next thing."""
        if self._found is None:
            return
        if self._inside is not None:
            self._by = self._inside[0]
            self._inside = None
        ways = self._found.axes
        self._by = ways[(ways.index(self._by) + 1) % len(ways)]
        self.read_anew()

    def action_back(self) -> None:
        """Up again to the list a row was opened in, or back."""
        if self._inside is None or self._find.display:
            super().action_back()
            return
        self._by, self._back_to, _ = self._inside
        self._inside = None
        self.read_anew()

    async def action_open(self) -> None:
        """What the row came from."""
        line = self._line(self.chosen)
        if line is None:
            return
        if not await self.open_record(line):
            if self._inside is None and self.goes_inside(line):
                self._inside = self._by, self.chosen or "", line
                self.read_anew()
            else:
                self.desk.say(Said(say("There is no record of its own behind this row.")))

    def goes_inside(self, line: Line) -> bool:
        """Whether a row can be taken apart itself."""
        return line.key is not None and line.kind not in ("rest", "rounding", "losses", "brood")

    async def open_record(self, line: Line) -> bool:
        """Open the record a row is of; says whether there is one."""
        from tui.places.lot import LotPage

        if line.cost is not None:
            await self.desk.open_form(WentPage(line.cost))
        elif line.movement is not None and line.lot:
            await self.desk.open_form(LotPage(line.lot, line.movement))
        else:
            return False
        return True


class WhyPage(ExplainPage):
    """Why a lot or a whole species costs what it costs.

    Args:
        lot: its code; nothing for a whole species.
        species: code of the species when no lot is given.
    """

    WHERE = "why"
    ACTS: ClassVar[tuple[Act, ...]] = (
        OPEN,
        NEXT_PART,
        Act(
            "other_figure",
            "number_sign",
            say("figure"),
            say("Another figure: per reared adult, cost so far, written off, next brood."),
        ),
        Act(
            "against",
            "V",
            say("compare"),
            say("Choose a second lot, to see why a reared adult is dearer here than there."),
        ),
        LIST_ACTS[0],
        BACK,
    )

    def __init__(self, lot: str = "", species: str = "") -> None:
        super().__init__()
        self._lot, self._species = lot, species
        self._figure: str | None = None

    def about(self) -> str:
        return say("lot {lot}", lot=self._lot) if self._lot else say("all {species}", species=self._species)

    def asked(self, ledger: Ledger, by: str, inside: Key | None) -> Callable[[], Answer]:
        from ledger.costs.explain.asked import explain_lot, explain_species

        if self._lot:
            return partial(ledger.ask, explain_lot, self._lot, ledger.today, figure=self._figure, by=by, inside=inside)
        return partial(ledger.ask, explain_species, self._species, ledger.today, by=by, inside=inside)

    def action_other_figure(self) -> None:
        """The next figure of the lot that there is."""
        found = self._found
        if found is None:
            return
        if [one for one in found.figures if one != found.asked] == []:
            self.desk.say(Said(say("There is no other figure of it that is not nothing.")))
            return
        at = found.figures.index(found.asked) if found.asked in found.figures else -1
        self._figure, self._by, self._inside = found.figures[(at + 1) % len(found.figures)], self.FIRST, None
        self.read_anew()

    async def action_against(self) -> None:
        """Choose the lot to compare with."""
        if self._found is None:
            return
        if not self._found.others:
            why = self._found.no_each
            none = say("There is no other lot with a cost per reared adult to compare it with.")
            if why:
                none = say("{why}; only lots with a cost per reared adult are compared.", why=why)
            self.desk.say(
                Said(none if self._lot else say("Only a lot is compared with another; open one of its lots."))
            )
            return
        currency = self.desk.ledger.currency
        choices = [
            Choice(
                one.lot,
                one.lot,
                say(
                    "{each} {code} each, {reared} reared",
                    each=amount_text(one.shown, currency),
                    code=currency.code,
                    reared=one.reared,
                ),
            )
            for one in self._found.others
        ]
        await self.app.push_screen(Chooser(say("Compare {lot} with", lot=self._lot), choices), self._compare)

    async def _compare(self, other: str | None) -> None:
        if other is not None:
            await self.desk.open_form(VersusPage(self._lot, other))


class WentPage(ExplainPage):
    """Where a cost went.

    Args:
        cost: its number.
    """

    WHERE = "went"
    HELP = say(
        "Where a cost went until today: with animals sold, still carried by living ones, written off, "
        "not used up. All of it adds up to the cost. b lists it by lot, and one by one; Enter opens the lot or the "
        "sale."
    )
    FIRST = "outcome"

    def __init__(self, cost: int) -> None:
        super().__init__()
        self._cost = cost

    def about(self) -> str:
        return say("where cost {cost} went", cost=self._cost)

    def asked(self, ledger: Ledger, by: str, inside: Key | None) -> Callable[[], Answer]:
        from ledger.costs.explain.went import where_cost_went

        return partial(
            ledger.ask, where_cost_went, self._cost, ledger.today, by=by if self._inside is None else "detail"
        )

    def narrowed(self, found: Answer) -> Answer:
        from ledger.costs.explain.inside import of_one_kind

        if self._inside is None:
            return found
        line = self._inside[2]
        return of_one_kind(found, line, say("{about}, {part}", about=found.about, part=line.name))

    def goes_inside(self, line: Line) -> bool:
        return self._by == self.FIRST

    async def open_record(self, line: Line) -> bool:
        from tui.places.lot import LotPage
        from tui.places.sale import SalePage

        if line.sale:
            await self.desk.open_form(SalePage(line.sale))
        elif line.lot:
            await self.desk.open_form(LotPage(line.lot))
        else:
            return False
        return True


class MonthWentPage(WentPage):
    """Where a month of spending on a category went.

    Args:
        category: of spending.
        month: 2025-07.
    """

    WHERE = "month-went"
    HELP = say(
        "Where what was borne of a category in a month went until today. All of it adds up. b lists it by "
        "lot, and one by one; Enter opens the lot or the sale."
    )

    def __init__(self, category: str, month: str) -> None:
        super().__init__(0)
        self._category, self._month = category, month

    def about(self) -> str:
        from ledger.costs.explain.naming import month_words

        return say(
            "where the {category} of {month} went", category=word(self._category), month=month_words(self._month)
        )

    def asked(self, ledger: Ledger, by: str, inside: Key | None) -> Callable[[], Answer]:
        from ledger.costs.explain.went import where_month_went

        way = by if self._inside is None else "detail"
        return partial(ledger.ask, where_month_went, self._category, self._month, ledger.today, by=way)


class VersusPage(ReckonedPage):
    """Two lots side by side."""

    WHERE = "versus"
    LEAST = 0
    HELP = say(
        "Why a reared adult of one lot is dearer than one of another: what they cost when they came, "
        "what was spent on each, and losses; then the same difference by category and by stage. Each "
        "list adds up to the difference. Enter takes the first lot's cost apart, row by row."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open"), say("What a reared adult of the first lot is made of, down to each cost.")),
        BACK,
    )

    def __init__(self, lot: str, against: str) -> None:
        super().__init__()
        self._lot, self._against = lot, against

    def title_words(self) -> str:
        return say("Explain: {lot} beside {against}", lot=self._lot, against=self._against)

    def question(self) -> Callable[[], object]:
        from ledger.costs.explain.asked import compare_lots

        ledger = self.desk.ledger
        return partial(ledger.ask, compare_lots, self._lot, self._against, ledger.today)

    async def action_open(self) -> None:
        """The first lot's cost taken apart."""
        await self.desk.open_form(WhyPage(self._lot))

    def told(self, answer: object) -> None:
        found: Versus = answer  # type: ignore[assignment]
        self.show(versus_lines(found, self.desk.ledger.currency, self.width, self.desk.signs))


# --- the pages as lines of text ---------------------------------------------------------------------------------------


def called(line: Line, said: Callable[[str], str] = str) -> str:
    """The name of a part, and what it is."""
    name = word(line.name)
    return said(say("{name} · {about}", name=name, about=line.about)) if line.about else said(name)


def _row(name: str, amounts: list[str], bar: str, width: int, signs: Signs) -> str:
    figures = "".join(beside(amount, AMOUNT, signs=signs) for amount in amounts)
    bars = BAR + 1 if width >= NARROW else 0
    drawn = f" {bar}" if bars else ""
    return f"{fit(name, width - AMOUNT * len(amounts) - bars, signs=signs)}{figures}{drawn}".rstrip()


def versus_lines(found: Versus, currency: Currency, width: int, signs: Signs) -> list[str]:
    """Why one lot is dearer, in sentences and in three lists."""
    from ledger.costs.explain.words import why_dearer

    lines = hanging(why_dearer(found, currency), width)
    heads = [say("{code} each", code=currency.code), say("on 100")]
    for title, listed in (
        (say("Why: {lot} less {lot2}", lot=found.one.lot, lot2=found.other.lot), found.causes),
        (say("By category"), found.by_category),
        (say("By the stage at which it was borne"), found.by_stage),
    ):
        lines += ["", _row(title, heads, "", width, signs)]
        largest = max((abs(line.exact) for line in listed), default=0)
        for line in listed:
            sign = ("+" if line.exact > 0 else "-") * round(BAR * abs(line.exact) / largest) if largest else ""
            amounts = [amount_text(line.shown, currency), amount_text(line.in_all, currency)]
            lines.append(_row(word(line.name), amounts, sign, width, signs))
        totals = [amount_text(found.shown, currency), amount_text(found.for_a_hundred, currency)]
        lines.append(_row(say("adds up to"), totals, "", width, signs))
    return [*lines, "", *hanging((say("· {note}", note=note) for note in found.notes), width)]

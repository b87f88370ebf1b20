"""Why a figure is what it is: its parts by one thing after another, two lots side by side, and where a cost went.

Shows what the ledger answers; reckons nothing but the widths of its columns.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll

from ledger.money import Currency, amount_text
from ledger.wording import say, strung
from tui.actions import Act
from tui.charts import Signs, beside, fit
from tui.places.page import BACK, ReckonedPage, hanging
from tui.tongue import word
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer as Said

if TYPE_CHECKING:
    from ledger.costs.explain.answers import Answer, Line, Versus
    from ledger.ledger import Ledger

BAR = 12
AMOUNT = 10
NARROW = 60
"""Below this there is no room for bars."""
NEXT_PART = Act(
    "next_part", "b", say("by ..."), say("Take it apart by the next thing: kind of cost, stage, month, entry ...")
)


class ExplainPage(ReckonedPage):
    """A figure with its parts. A subclass says what is asked."""

    WHERE = "explain"
    LEAST = 0
    HELP = say(
        "A figure and what it is made of; the parts add up to it to the last coin. b takes it apart by "
        "the next thing: by kind of cost, by stage, by month, by what was bought."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (NEXT_PART, BACK)
    FIRST = "category"
    """By what it is taken apart first."""

    def __init__(self) -> None:
        super().__init__()
        self._by = self.FIRST
        self._found: Answer | None = None

    def about(self) -> str:
        """What is asked about."""
        raise NotImplementedError

    def asked(self, ledger: Ledger, by: str) -> Callable[[], Answer]:
        """What is asked of the ledger."""
        raise NotImplementedError

    def title_words(self) -> str:
        return say("Explain: {about}", about=self.about())

    def question(self) -> Callable[[], object]:
        return self.asked(self.desk.ledger, self._by)

    def told(self, answer: object) -> None:
        found: Answer = answer  # type: ignore[assignment]
        self._found = found
        lines = explain_lines(found, self.desk.ledger.currency, self.width, self.desk.signs)
        self.show(self.said(line) for line in lines)
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def action_next_part(self) -> None:
        """By the next thing."""
        if self._found is not None:
            ways = self._found.axes
            self._by = ways[(ways.index(self._found.by) + 1) % len(ways)]
            self.read_anew()


class WhyPage(ExplainPage):
    """Why a lot or a whole species costs what it costs.

    Args:
        lot: its code; nothing for a whole species.
        species: code of the species when no lot is given.
    """

    WHERE = "why"
    ACTS: ClassVar[tuple[Act, ...]] = (
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
        BACK,
    )

    def __init__(self, lot: str = "", species: str = "") -> None:
        super().__init__()
        self._lot, self._species = lot, species
        self._figure: str | None = None

    def about(self) -> str:
        return say("lot {lot}", lot=self._lot) if self._lot else say("all {species}", species=self._species)

    def asked(self, ledger: Ledger, by: str) -> Callable[[], Answer]:
        from ledger.costs.explain.asked import explain_lot, explain_species

        if self._lot:
            return partial(ledger.ask, explain_lot, self._lot, ledger.today, figure=self._figure, by=by)
        return partial(ledger.ask, explain_species, self._species, ledger.today, by=by)

    def action_other_figure(self) -> None:
        """The next figure of the lot that there is."""
        found = self._found
        if found is None:
            return
        if [one for one in found.figures if one != found.asked] == []:
            self.desk.say(Said(say("There is no other figure of it that is not nothing.")))
            return
        at = found.figures.index(found.asked) if found.asked in found.figures else -1
        self._figure, self._by = found.figures[(at + 1) % len(found.figures)], self.FIRST
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
        "not used up. The places add up to the cost. b lists them by lot, and one by one."
    )
    FIRST = "kind"

    def __init__(self, cost: int) -> None:
        super().__init__()
        self._cost = cost

    def about(self) -> str:
        return say("where cost {cost} went", cost=self._cost)

    def asked(self, ledger: Ledger, by: str) -> Callable[[], Answer]:
        from ledger.costs.explain.went import where_cost_went

        return partial(ledger.ask, where_cost_went, self._cost, ledger.today, by=by)


class MonthWentPage(WentPage):
    """Where a month of spending on a category went.

    Args:
        category: of spending.
        month: 2025-07.
    """

    WHERE = "month-went"
    HELP = say(
        "Where what was borne of a kind of cost in a month went until today. The places add up to it. b lists them by "
        "lot, and one by one."
    )

    def __init__(self, category: str, month: str) -> None:
        super().__init__(0)
        self._category, self._month = category, month

    def about(self) -> str:
        from ledger.costs.explain.naming import month_words

        return say(
            "where the {category} of {month} went", category=word(self._category), month=month_words(self._month)
        )

    def asked(self, ledger: Ledger, by: str) -> Callable[[], Answer]:
        from ledger.costs.explain.went import where_month_went

        return partial(ledger.ask, where_month_went, self._category, self._month, ledger.today, by=by)


class VersusPage(ReckonedPage):
    """Two lots side by side."""

    WHERE = "versus"
    LEAST = 0
    HELP = say(
        "Why a reared adult of one lot is dearer than one of another: what they cost when they came, "
        "what was spent on each, and losses; then the same difference by kind of cost and by stage. Each "
        "list adds up to the difference."
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

    def told(self, answer: object) -> None:
        found: Versus = answer  # type: ignore[assignment]
        self.show(versus_lines(found, self.desk.ledger.currency, self.width, self.desk.signs))


# --- the pages as lines of text ---------------------------------------------------------------------------------------


def explain_lines(found: Answer, currency: Currency, width: int, signs: Signs) -> list[str]:
    """A figure with its parts; each with its amount and a bar of its share."""
    from ledger.costs.explain.words import in_words

    lines = hanging([in_words(found, currency)], width)
    if found.no_each:
        lines += ["", *hanging([say("· {note}", note=say("{why}.", why=found.no_each))], width)]
    if not found.lines:
        return lines
    whole = found.number is not None
    ways = strung((strung(("[", word(way), "]"), "") if way == found.by else word(way) for way in found.axes), "  ")
    heads = [say("{code} each", code=currency.code), say("in all")] if whole else [currency.code]
    lines += ["", *hanging([say("by {ways}", ways=ways)], width), _row("", heads, "", width, signs)]
    largest = max(abs(line.exact) for line in found.lines)
    for line in found.lines:
        amounts = [line.shown, line.in_all] if whole else [line.shown]
        bar = signs.block * round(BAR * abs(line.exact) / largest) if largest else ""
        lines.append(_row(_called(line), [amount_text(one, currency) for one in amounts], bar, width, signs))
    totals = [found.shown, found.in_all] if whole else [found.shown]
    lines.append(_row(say("adds up to"), [amount_text(one, currency) for one in totals], "", width, signs))
    return [*lines, *hanging((say("· {note}", note=note) for note in found.notes), width)]


def _called(line: Line) -> str:
    """The name of a part, and what it is as far as there is room."""
    return say("{name} · {about}", name=word(line.name), about=line.about) if line.about else word(line.name)


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
        (say("By kind of cost"), found.by_category),
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

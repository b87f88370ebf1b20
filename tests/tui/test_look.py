"""How days, origins and new names are said: one style of days, origins that fit, names that are not known yet."""

from __future__ import annotations

import datetime as dt

import pytest
from rich.color import Color, ColorSystem
from textual.theme import Theme

from ledger.costs.commands import Spend
from ledger.days import Order
from ledger.ledger import Ledger
from ledger.origin.rules import Code, Origin, label
from ledger.selling.commands import LineOf, PlaceHold, Sell
from tests.tui.business import desk
from tests.tui.keys import rest
from tests.tui.words import SETTING, TODAY
from tui.app import Desk
from tui.jot_line import read_line
from tui.look import DAYLIGHT, DAYLIGHT_16, DAYLIGHT_256, LAMPLIGHT, LAMPLIGHT_16, in_one_style, short
from tui.new_names import new_names
from tui.short_origin import ORIGIN_WIDTH, short_origin
from tui.widgets.paged import PagedList, Row
from tui.widgets.strip import day_words

DAY = dt.date(2025, 3, 4)


@pytest.mark.parametrize(("order", "said"), [("dmy", "4 Mar 2025"), ("mdy", "Mar 4, 2025"), ("ymd", "2025-03-04")])
def test_a_day_is_written_one_way_wherever_it_comes_from(order: Order, said: str) -> None:
    assert short(DAY, order) == said
    assert in_one_style("P08: 3 died, 4 March 2025.", order) == f"P08: 3 died, {said}."
    assert in_one_style("Bought 2025-03-04 to 2025-03-04", order) == f"Bought {said} to {said}"
    assert in_one_style("until Tuesday 4 March 2025.", order) == f"until Tue {said}."
    assert in_one_style("2025-03-04T18:00", order) == f"{said} 18:00"
    assert in_one_style("Friday 6 June, 18:00.", "mdy") == "Fri Jun 6, 18:00."
    assert day_words(DAY, 30, order) == f"Tue {said}"


@pytest.mark.parametrize(
    "text",
    ["S-2025-0117", "31 February 2025", "2025-13-40", "P-2025-03-04", "12 Marchbank 2025", "1/3/2025", "May 2025"],
)
def test_what_is_no_day_of_the_ledger_stays_as_it_is(text: str) -> None:
    assert in_one_style(text, "mdy") == text


def _origins() -> list[Origin]:
    plain = [Origin(code) for code in Code if code is not Code.CB]
    stated = [Origin(code, stated=True) for code in Code if code not in (Code.CB, Code.MIX, Code.UNK)]
    bred = [
        Origin(Code.CB, generation, later, stated=is_stated)
        for generation in (1, 2, 12, 140)
        for later in (False, True)
        for is_stated in (False, True)
    ]
    return [*plain, *stated, *bred]


def test_every_origin_has_a_short_form_that_fits_and_is_told_from_the_others() -> None:
    shorts = {label(origin): short_origin(label(origin)) for origin in _origins()}

    assert all(len(text) <= ORIGIN_WIDTH for text in shorts.values()), shorts
    assert len(set(shorts.values())) == len(shorts), shorts
    assert shorts["captive bred, F2 by our records"] == "captive bred F2"
    assert shorts["captive bred, generation not known"] == "captive bred F?"


@pytest.mark.parametrize("theme", [LAMPLIGHT_16, DAYLIGHT_16], ids=lambda theme: theme.name)
def test_a_terminal_of_sixteen_colours_has_each_of_ours_and_tells_them_apart(theme: Theme) -> None:
    def shown(colour: str | None) -> int | None:
        return Color.parse(colour or "").downgrade(ColorSystem.STANDARD).number

    names = ("background", "foreground", "primary", "success", "warning")
    colours = {name: shown(getattr(theme, name)) for name in names} | {"quiet": shown(theme.variables["quiet"])}

    assert len(set(colours.values())) == len(colours)
    # The control: most of the fine colours become one and the same.
    fine = {shown(getattr(LAMPLIGHT, name)) for name in names}
    assert len(fine) < len(names)


def test_a_light_screen_of_256_colours_has_a_paper_without_a_tinge() -> None:
    def papers(theme: Theme) -> list[tuple[int, int, int]]:
        wanted = (theme.background, theme.surface, theme.panel)
        shown = [Color.parse(one or "").downgrade(ColorSystem.EIGHT_BIT).get_truecolor() for one in wanted]
        return [(one.red, one.green, one.blue) for one in shown]

    assert all(red == green == blue for red, green, blue in papers(DAYLIGHT_256))
    # The control: the warm paper becomes a yellow one.
    assert not all(red == green == blue for red, green, blue in papers(DAYLIGHT))


def test_a_new_customer_is_named_and_one_that_ends_like_a_day_is_doubted() -> None:
    def said(name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return new_names(Sell((LineOf("P08", 2),), TODAY, name), SETTING.vocabulary)

    assert said("") == ((), ())
    assert said("tarn") == ((), ())
    assert said("Zebulon Ash") == (("New customer: Zebulon Ash.",), ())
    fresh, doubts = said("Tarn next week")
    assert fresh == ("New customer: Tarn next week.",)
    assert any('"week" at the end of the name looks like a day' in doubt for doubt in doubts)
    assert any("much like Velo Marrick" in doubt for doubt in said("Velo Marrik")[1])
    assert not said("June")[1]


@pytest.mark.parametrize("tail", ["tonight", "friday", "3rd", "14.3.", "2025-06-07", "18:00", "morning"])
def test_tails_that_look_like_a_day_are_doubted(tail: str) -> None:
    _, doubts = new_names(PlaceHold(f"Orsk {tail}", (), TODAY, ""), SETTING.vocabulary)

    assert doubts


def test_a_new_supplier_is_named() -> None:
    spend = Spend(TODAY, "feed", 2400, "Zeb & Sons")

    assert new_names(spend, SETTING.vocabulary) == (("New supplier: Zeb & Sons.",), ())


def test_tomorrow_at_the_end_of_a_line_is_a_day_and_no_part_of_a_name() -> None:
    command = read_line("sell P08 2 to Tarn tomorrow", SETTING)

    assert isinstance(command, Sell)
    assert command.customer == "Tarn"
    assert command.sold_on == TODAY + dt.timedelta(days=1)


async def test_a_cell_has_the_colour_of_the_theme_that_its_style_names_but_on_the_row_of_the_cursor(
    loft: Ledger,
) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("4")
        await rest(pilot)
        row = app.screen.query_one(PagedList)
        row.put(Row(str(row.key_here), tuple((f"cell{n}", "$warning") for n in range(len(row._spec)))))
        await rest(pilot)
        under_cursor = _colours(app, "cell0")
        row.show_cursor = False
        await rest(pilot)
        colours = _colours(app, "cell0")
        warning = app.theme_variables["warning"].casefold()

    assert colours == {warning}
    assert under_cursor != {warning}


def _colours(app: Desk, text: str) -> set[str]:
    strips = app.screen._compositor.render_strips()
    found = [one.style.color for strip in strips for one in strip if text in one.text and one.style is not None]
    return {colour.get_truecolor().hex.casefold() for colour in found if colour is not None}

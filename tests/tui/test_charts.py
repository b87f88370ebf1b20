"""Charts say what their figures say, in the cells they were given."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from tui.charts import ASCII, LINES, Bar, Place, Rung, Signs, Step, bars, fit, ladder, sparkline, stage_strip, steps

FALLING = (Step(0, 1.0, 1.0, 1.0), Step(30, 0.75, 0.6, 0.86), Step(60, 0.5, 0.34, 0.66), Step(120, 0.5, 0.34, 0.66))


def test_a_step_curve_falls_where_its_figures_fall() -> None:
    assert steps(FALLING, width=46, height=11) == [
        "100% ┤──────────┐                             ",
        "     ┤          │░░░░░░░░░                    ",
        "     ┤          └─────────┐                   ",
        "     ┤          ░░░░░░░░░░│░░░░░░░░░░░░░░░░░░░",
        " 50% ┤                    └───────────────────",
        "     ┤                    ░░░░░░░░░░░░░░░░░░░░",
        "     ┤                                        ",
        "     ┤                                        ",
        "  0% ┤                                        ",
        "     └────────────────────────────────────────",
        "      day 0                            day 120",
    ]


def test_a_step_curve_rises_where_its_figures_rise() -> None:
    rising = (Step(0, 0.0, 0.0, 0.0), Step(50, 0.5, 0.5, 0.5), Step(100, 1.0, 1.0, 1.0))

    assert steps(rising, width=26, height=7, until=150) == [
        "100% ┤             ┌──────",
        "     ┤             │      ",
        "     ┤       ┌─────┘      ",
        "     ┤       │            ",
        "  0% ┤───────┘            ",
        "     └────────────────────",
        "      day 0        day 150",
    ]


def test_small_shares_are_drawn_on_a_smaller_scale_that_says_so() -> None:
    low = (Step(0, 0.0, 0.0, 0.0), Step(50, 0.05, 0.02, 0.09))

    picture = steps(low, width=30, height=7, until=100)

    assert picture[0].startswith(" 10% ")


def test_a_curve_that_starts_late_leaves_its_first_days_blank() -> None:
    late = (Step(50, 0.5, 0.5, 0.5),)

    picture = steps(late, width=26, height=7, until=100)

    assert picture[0][6:16].strip() == ""
    assert picture[0][16:].strip(LINES.across + LINES.shade) == ""


def test_bars_put_the_dot_at_the_figure_on_its_scale_and_are_heavy_over_its_interval() -> None:
    rows = [Bar("Own line", 4.2, "4.20 (3.60 to 4.80)", 3.6, 4.8), Bar("Bought in", 3.0, "3.00")]

    assert bars(rows, width=60, most=6.0) == [
        "Own line  │················━━━●━━━·····│ 4.20 (3.60 to 4.80)",
        "Bought in │··············●·············│                3.00",
    ]


def test_a_ladder_starts_each_part_where_the_last_one_ended() -> None:
    parts = [Rung("feed", 500, "5.00"), Rung("heat", 300, "3.00"), Rung("losses", 200, "2.00")]

    assert ladder(parts, Rung("an adult", 1000, "10.00"), width=36) == [
        "feed     ██████████             5.00",
        "heat               ███████      3.00",
        "losses                    ████  2.00",
        "an adult ━━━━━━━━━━━━━━━━━━━━━ 10.00",
    ]


def test_a_ladder_whose_parts_do_not_sum_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="sum to its total"):
        ladder([Rung("feed", 500, "5.00")], Rung("an adult", 501, "5.01"), width=40)


def test_a_part_of_a_ladder_that_is_not_nought_is_never_invisible() -> None:
    parts = [Rung("feed", 100_000, "1000.00"), Rung("label", 1, "0.01")]

    picture = ladder(parts, Rung("sum", 100_001, "1000.01"), width=40)

    assert "█" in picture[1]


def test_the_stage_strip_is_heavy_where_animals_are() -> None:
    strip = stage_strip([Place("egg", 0), Place("L3", 14, "0.0.14"), Place("soft adult", 0)], width=40)

    assert strip == [
        " egg  L3      soft adult                ",
        "┴────┴━━━━━━━┴───────────               ",
        " 0    14      0                         ",
        "      0.0.14                            ",
    ]


def test_a_strip_too_long_for_its_width_goes_on_below_with_every_stage() -> None:
    names = [f"stage {n}" for n in range(12)]

    strip = stage_strip([Place(name, 1) for name in names], width=40)

    assert all(cell_len(line) == 40 for line in strip)
    assert all(any(name in line for line in strip) for name in names)


def test_a_sparkline_has_its_highest_sign_at_the_largest_value() -> None:
    assert sparkline([0, 1, 2, 3, 4, 5, 6, 7], width=8) == ["▁▂▃▄▅▆▇█"]
    assert sparkline([0, 0, 0], width=8) == ["▁▁▁"]
    assert sparkline([], width=8) == [""]


def test_long_series_are_averaged_into_the_cells_there_are() -> None:
    assert sparkline([0, 0, 8, 8, 4, 4], width=3) == ["▁█▅"]


def test_labels_are_cut_and_filled_by_cells_not_by_characters() -> None:
    assert fit("甲虫の幼虫", 6) == "甲虫 …"
    assert fit("甲虫", 6) == "甲虫  "
    assert fit("ab", 4, right=True) == "  ab"
    assert fit("a\x1b[2Jb", 8) == "a\ufffd[2Jb  "


LABEL = st.text(alphabet="aé甲🐞\u0301[]/ \x1b\u202e", max_size=20)


@given(LABEL, st.integers(20, 90), st.integers(5, 24), st.sampled_from([LINES, ASCII]))
def test_every_chart_keeps_to_its_cells_whatever_its_labels_hold(
    label: str, width: int, height: int, signs: Signs
) -> None:
    pictures = (
        steps(FALLING, width=width, height=height, signs=signs),
        bars([Bar(label, 2.0, label, 1.0, 3.0), Bar("x", 0.0, "0")], width=width, signs=signs),
        ladder([Rung(label, 3, label)], Rung("sum", 3, "3"), width=width, signs=signs),
        stage_strip([Place(label, 3, label), Place("adult", 0)], width=width, signs=signs),
    )

    for picture in pictures:
        assert {cell_len(line) for line in picture} == {width}
        assert not any("\x1b" in line or "\u202e" in line for line in picture)


def test_the_ascii_signs_are_ascii() -> None:
    picture = steps(FALLING, width=40, height=9, signs=ASCII) + bars([Bar("a", 1, "1", 0, 2)], width=40, signs=ASCII)

    assert all(line.isascii() for line in picture)

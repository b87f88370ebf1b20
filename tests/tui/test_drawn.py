"""One picture, two drawings: what the screen says in characters the file says too, and words stay words."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from rich.cells import cell_len

from tui.charts import ASCII, LINES, Bar, Rung, Signs, Step, bars
from tui.drawn import Bars, Curve, Parts, Picture, TimeRule, blocks, lines_of, whence
from tui.drawn_svg import svg
from tui.time_rule import Span, time_rule

SVG = "{http://www.w3.org/2000/svg}"
SPANS = (Span("egg", 24, "~24", False), Span("L1", 12, "~12", False), Span("cocoon", 48, "48", True))
PICTURE = Picture(
    "Outlook PACH",
    (
        Curve("Share reared", (Step(0, 0.0, 0.0, 0.0), Step(40, 0.4, 0.3, 0.5)), 90.0),
        Bars("Ready", (Bar("from 5 Jun", 3.0, "3 (1 to 5)", 1, 5, after="in all 3 (1 to 5)"), Bar("sold", 1.0, "1"))),
        Parts("Cost", (Rung("feed", 30, "0.30"), Rung("heat", 10, "0.10")), Rung("one", 40, "0.40")),
        TimeRule("Days", SPANS),
    ),
    ("About 3 adults.",),
)


def texts(drawn: str) -> list[str]:
    return [node.text or "" for node in ElementTree.fromstring(drawn).iter(f"{SVG}text")]


def test_the_file_holds_every_figure_that_the_screen_shows() -> None:
    shown = "\n".join(blocks(PICTURE.parts, 100, LINES))
    written = texts(svg(PICTURE))

    for words in ("3 (1 to 5)", "in all 3 (1 to 5)", "0.30", "0.40", "egg ~24", "cocoon 48", "from 5 Jun", "day 90"):
        assert words in shown
        assert words in written


def test_another_figure_draws_another_file() -> None:
    other = Picture(PICTURE.title, (Bars("Ready", (Bar("from 5 Jun", 2.0, "3 (1 to 5)", 1, 5),)),))
    same = Picture(PICTURE.title, (Bars("Ready", (Bar("from 5 Jun", 3.0, "3 (1 to 5)", 1, 5),)),))

    assert svg(other) != svg(same)


def test_a_dot_stands_where_its_figure_is_on_the_scale() -> None:
    rows = (Bar("a", 0.0, "0"), Bar("b", 5.0, "5"), Bar("c", 10.0, "10"))
    root = ElementTree.fromstring(svg(Picture("Scale", (Bars("Scale", rows),))))
    low, middle, high = (float(node.attrib["cx"]) for node in root.iter(f"{SVG}circle"))

    assert middle == pytest.approx((low + high) / 2, abs=0.2)


def test_the_band_of_a_curve_lies_around_its_line() -> None:
    root = ElementTree.fromstring(svg(Picture("Curve", PICTURE.parts[:1])))
    (band,) = root.iter(f"{SVG}polygon")
    (line,) = root.iter(f"{SVG}polyline")
    heights = [float(point.split(",")[1]) for point in band.attrib["points"].split()]
    last = float(line.attrib["points"].split()[-1].split(",")[1])

    assert min(heights) < last < max(heights)


@pytest.mark.parametrize("hostile", ["<script>x</script>", "a & b", "\x1b[31mred", "]]>", '"/><rect id="x"/>'])
def test_what_people_wrote_is_text_in_the_file_and_nothing_else(hostile: str) -> None:
    picture = Picture(hostile, (Bars(hostile, (Bar(hostile, 1.0, hostile, after=hostile),)),), (hostile,))
    drawn = svg(picture)
    kinds = {node.tag.removeprefix(SVG) for node in ElementTree.fromstring(drawn).iter()}

    assert kinds == {"svg", "title", "desc", "rect", "text", "line", "circle"}
    assert len(list(ElementTree.fromstring(drawn).iter(f"{SVG}rect"))) == 1
    assert "\x1b" not in drawn


def test_the_file_says_its_figures_to_whoever_cannot_see_them() -> None:
    desc = ElementTree.fromstring(svg(PICTURE)).findtext(f"{SVG}desc") or ""

    assert "from 5 Jun 3 (1 to 5) in all 3 (1 to 5)" in desc
    assert "40% by day 90" in desc
    assert "About 3 adults." in desc


def test_a_running_total_stands_at_the_right_edge_of_its_bar() -> None:
    rows = [Bar("w1", 3.0, "3", 1, 5, after="in all 3"), Bar("w2", 2.0, "2", 0, 4, after="in all 15")]

    assert bars(rows, width=50) == [
        "w1 │······━━━━━━━━━━━━━●━━━━━━━━━━━━│ 3   in all 3",
        "w2 │━━━━━━━━━━━━●━━━━━━━━━━━━━······│ 2  in all 15",
    ]


@pytest.mark.parametrize("signs", [LINES, ASCII])
@pytest.mark.parametrize("width", [24, 40, 76, 118])
def test_a_rule_of_time_names_every_stage_in_the_cells_it_was_given(width: int, signs: Signs) -> None:
    lines = time_rule(SPANS, width=width, signs=signs)

    assert all(cell_len(line) == width for line in lines)
    shown = " ".join(lines)
    assert all(f"{span.name} {span.said}" in shown for span in SPANS)


def test_a_longer_stage_is_drawn_longer_and_only_own_time_is_heavy() -> None:
    rule = time_rule(SPANS, width=84)[1].split("┴")[1:]
    egg, first, cocoon = (part.rstrip() for part in rule)

    assert len(first) < len(egg) < len(cocoon)
    assert set(cocoon) == {LINES.heavy}
    assert set(egg) == set(first) == {LINES.across}


def test_a_file_that_is_sent_on_says_whose_figures_it_shows_of_which_day_and_in_what_money() -> None:
    said = whence("Quillmere Loft", "31 Dec 2025", "EUR")
    drawn = svg(PICTURE, said)

    assert said == "Quillmere Loft · 31 Dec 2025 · amounts in EUR"
    assert said in texts(drawn)
    assert said in (ElementTree.fromstring(drawn).findtext(f"{SVG}desc") or "")
    assert said not in texts(svg(PICTURE))


def test_a_curve_that_starts_late_says_on_which_day_it_was_first_counted() -> None:
    late = Curve("Share reared", (Step(23, 0.0, 0.0, 0.0), Step(70, 0.4, 0.3, 0.5)), 90.0)

    assert "first counted, day 23" in "\n".join(lines_of(late, 80, LINES))
    assert "first counted, day 23" in texts(svg(Picture("Curve", (late,))))
    assert "first counted" not in "\n".join(lines_of(PICTURE.parts[0], 80, LINES))


def test_a_figure_in_words_is_never_cut_where_the_drawing_can_give_way() -> None:
    rows = (
        Bar("soft adult", 13.0, "13 days (12 to 13)", 12, 13),
        Bar("egg", 24.0, "~24 days (usual 21 to 28)", 21, 28),
    )

    for width in (30, 36, 44, 60, 80):
        drawn = "\n".join(bars(rows, width=width))
        assert all(row.said in drawn for row in rows)
        assert "…" not in drawn
    assert "●" not in "\n".join(bars(rows, width=36))


def test_the_name_of_a_short_last_stage_ends_at_the_edge_of_the_drawing() -> None:
    short_last = (Span("egg", 170, "170", True), Span("soft adult", 5, "5", True))
    drawn = svg(Picture("x", (TimeRule("Days", short_last),)))

    assert re.search(r'x="812.0"[^>]*text-anchor="end"[^>]*>soft adult 5<', drawn)
    assert re.search(r'x="28.0"[^>]*>egg 170<', drawn)

"""People's text reaches the screen literally, and the code of the screen has no other way to put it there."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from rich.cells import cell_len, set_cell_size
from rich.text import Text
from textual.content import Content

from tui.plain import cell, drawing, parts, words

HOSTILE = [
    "Lot [spare] 3",
    "[red]x[/red]",
    "[/",
    "x[/b]",
    "[v={'a[0]'}]",
    "[@click=app.leave]go[/]",
    "\x1b]0;owned\x07",
    "\x1b[2Jgone",
    "left\u202eright",
    "a\tb",
    "🐞 甲虫 e\u0301",
]
TUI = Path(__file__).parents[2] / "tui"


@pytest.mark.parametrize("text", HOSTILE)
def test_text_becomes_a_label_or_a_cell_as_it_is_but_for_what_steers_a_terminal(text: str) -> None:
    expected = "".join(" " if c == "\t" else "\ufffd" if c in "\x1b\x07\u202e" else c for c in text)

    assert words(text).plain == expected
    assert parts((text, "bold"), text).plain == expected * 2
    wide = cell_len(expected)
    assert cell(text, wide) == expected
    assert cell(text, wide + 2) == f"{expected}  "
    assert cell(text, wide + 2, right=True).strip() == expected.strip()
    assert cell(text, wide - 1) == set_cell_size(expected, wide - 2) + "…"
    assert drawing([text, text]).plain == f"{expected}\n{expected}"
    assert words(text).spans == []


def test_the_library_would_have_read_markup_there() -> None:
    """The control: without the helper a name is altered or breaks the screen."""
    assert Content.from_markup("Lot [spare] 3").plain != "Lot [spare] 3"
    assert Text.from_markup("[red]x[/red]").plain == "x"


WIDGETS = {"Static", "Label", "Button", "Option", "Checkbox", "Collapsible", "TabPane"}
HELPERS = {"words", "parts", "cell", "drawing"}


def _bare(tree: ast.AST, source: str) -> list[str]:
    """Calls that put text into a widget without the helper."""
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        first = node.args[0] if node.args else None
        helped = isinstance(first, ast.Call) and getattr(first.func, "id", "") in HELPERS
        if (name in WIDGETS and first is not None and not helped) or name == "notify":
            found.append(ast.get_source_segment(source, node) or name)
        if name == "update" and not helped and not isinstance(first, ast.Dict | ast.DictComp) and first is not None:
            found.append(ast.get_source_segment(source, node) or name)
        if name == "Static" and not any(keyword.arg == "markup" for keyword in node.keywords):
            found.append(ast.get_source_segment(source, node) or name)
        # A value of a sentence may be called title; the sentence goes through the helper like any other.
        if name != "say" and any(
            k.arg in ("border_title", "tooltip", "title") and not isinstance(k.value, ast.Constant)
            for k in node.keywords
        ):
            found.append(ast.get_source_segment(source, node) or name)
    return found


def test_no_widget_gets_its_words_without_the_helper() -> None:
    found = {
        path.relative_to(TUI).as_posix(): bare
        for path in sorted(
            [*TUI.glob("*.py"), *TUI.glob("widgets/*.py"), *TUI.glob("places/*.py"), *TUI.glob("forms/*.py")]
        )
        if path.name != "plain.py" and (bare := _bare(ast.parse(path.read_text()), path.read_text()))
    }

    assert found == {}


def test_the_search_for_bare_words_finds_them() -> None:
    """The control for the test above."""
    for code in ("Static(name, markup=False)", 'Static(words("x"))', 'app.notify("x")', 'label.update(f"{name}")'):
        assert _bare(ast.parse(code), code)

"""A list that reads its rows by pages: 100 at a time by their key, more when the cursor comes near the end.

Sorting and narrowing are questions to the ledger, never work of the widget. It holds at most 5,000 rows: adding a page
to a library table costs some 2 ms at any length, but filling it with 100,000 rows at once freezes it for seconds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rich.cells import cell_len
from rich.errors import StyleSyntaxError
from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual import on
from textual.coordinate import Coordinate
from textual.events import Click, Resize
from textual.message import Message
from textual.widgets import DataTable
from textual.widgets.data_table import RowKey

from tui.plain import cell
from tui.tongue import tell

PAGE = 100
NEAR_END = 50
ROOMY = 60
LOW = 18
"""Lines below which a screen has the keyboard of a phone over it: what only helps gives way to what is worked on."""
"""Cells of a screen below which a list keeps only what a row cannot do without, as on a phone."""
LEAST = 8
"""Cells the column with no width needs to say anything."""
MOST_ROWS = 5000
LINES_KEPT = 150
"""Lines that were drawn and are kept to be shown again: a tall screen, with the cursor on one line and then another. Of
nine places these would else be thousands, to be looked through again and again."""
AGAIN = 10
"""Pages that are read again at most, to leave the cursor on its row: a key must not wait for thousands."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `width` in cells; the one with none takes what the others leave."""

    words: str
    width: int | None = None
    right: bool = False
    above: int = 0
    """Shown only on screens at least this wide."""
    most: int = 100
    """Cells that the column with no width takes at most: too far to the right nobody finds the line again."""
    below: int = 10**6
    """Shown only on screens narrower than this."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the key it is read by, and a text for each column ((text, style) to colour it)."""

    key: str
    cells: tuple[str | tuple[str, str], ...]
    also: str = ""
    """What no column shows and it is found by all the same."""


@dataclass(frozen=True, slots=True)
class Page:
    """Rows in the order asked for; `more` when others follow."""

    rows: Sequence[Row]
    more: bool = False


def shown_of(columns: Sequence[Column], width: int) -> list[tuple[int, Column]]:
    """Which columns a screen of this width shows, each with its place in a row.

    Where a narrow one has no room for all: the first, the one with no width and the last, then the others as they fit.
    """
    shown = [(at, column) for at, column in enumerate(columns) if column.above <= width < column.below]
    if width >= ROOMY:
        return shown
    loose = [one for one in shown if one[1].width is None and one[1].words]
    kept: list[tuple[int, Column]] = []
    left = width
    for one in dict.fromkeys((*shown[:1], *loose, *shown[-1:], *shown)):
        column = one[1]
        wide = column.width
        if wide is None:
            wide = max(LEAST, cell_len(tell(column.words))) if column.words else 0
        if wide + 2 <= left:
            left -= wide + 2
            kept.append(one)
    return sorted(kept, key=lambda one: one[0])


def widths_of(columns: Sequence[Column], screen: int, room: int) -> list[tuple[int, int, Column]]:
    """The columns that are shown, each with its place in a row and its cells.

    Args:
        columns: all there are.
        screen: cells of the whole screen.
        room: cells of the list.
    """
    shown = shown_of(columns, screen)
    rest = max(room - sum((column.width or 0) + 2 for _, column in shown), 6)
    return [(at, column.width or min(rest, column.most), column) for at, column in shown]


@lru_cache(maxsize=64)
def _style(name: str) -> Style:
    """A style by its name; one that is none of the console's own is plain."""
    try:
        return Style.parse(name)
    except StyleSyntaxError:
        return Style.null()


class PagedList(DataTable[Text]):
    """Rows of the ledger, one line each."""

    MOST = MOST_ROWS
    """Rows it holds at most."""

    class Grown(Message):
        """The rows held have changed."""

        def __init__(self, held: int, more: bool) -> None:
            super().__init__()
            self.held = held
            self.more = more

    class Clicked(Message):
        """The row the cursor is on was clicked: the mouse's Enter."""

    def __init__(self, columns: Sequence[Column], fetch: Callable[[str | None], Page], id: str | None = None) -> None:
        super().__init__(cursor_type="row", id=id, zebra_stripes=False)
        # The library keeps a thousand (a private part; pinned).
        self._line_cache.maxsize = LINES_KEPT
        self._spec = tuple(columns)
        self._fetch = fetch
        self._rows: list[Row] = []
        self._more = False
        self._drawn_for = 0, 0
        """The room it was drawn for."""
        self._drawn: list[tuple[int, int, Column]] = []

    def read(self, *, from_top: bool = False) -> None:
        """Ask the ledger for the first page; the cursor stays on the row it was on, if that is still there.

        Args:
            from_top: put the cursor on the first row instead.
        """
        before, here = None if from_top else self.key_here, self.cursor_row
        page = self._fetch(None)
        self._rows, self._more = list(page.rows), page.more
        keys = [row.key for row in self._rows]
        for _ in range(AGAIN):
            if before is None or before in keys or not self._more or not page.rows or len(keys) > here:
                break
            # It was further down: elsewise the next key would fall on another row.
            page = self._fetch(keys[-1])
            self._rows.extend(page.rows)
            self._more = page.more
            keys += [row.key for row in page.rows]
        self._draw()
        if before in keys:
            self.move_cursor(row=keys.index(before))
        elif from_top and keys:
            self.move_cursor(row=0)
        self.post_message(self.Grown(len(self._rows), self._more))

    def lay_out(self, columns: Sequence[Column]) -> None:
        """Have other columns from the next reading on; as many as before."""
        self._spec = tuple(columns)

    def go_to(self, key: str | None) -> None:
        """Put the cursor on the row of a key, if that has been read."""
        at = next((place for place, row in enumerate(self._rows) if row.key == key), None)
        if at is not None:
            self.move_cursor(row=at)

    def holds(self, key: str) -> bool:
        """Whether the row of a key has been read."""
        return any(row.key == key for row in self._rows)

    def put(self, row: Row) -> None:
        """Show one row anew in its place; nothing is read, and the cursor stays."""
        at = next((place for place, held in enumerate(self._rows) if held.key == row.key), None)
        if at is None:
            return
        self._rows[at] = row
        self.draw_anew()

    def draw_anew(self) -> None:
        """Draw the rows again that are seen, for rows that say what they say when they are looked at."""
        # All that was drawn of any row is drawn anew (a private part; pinned).
        self._update_count += 1
        self.refresh()

    @property
    def key_here(self) -> str | None:
        """Key of the row the cursor is on, or None in an empty list."""
        return self._rows[self.cursor_row].key if 0 <= self.cursor_row < len(self._rows) else None

    @property
    def held(self) -> int:
        """How many rows have been read."""
        return len(self._rows)

    def said(self, all_of: str, so_far: str) -> str:
        """How many rows there are: one sentence when all were read, another when others follow."""
        return so_far if self._more else all_of

    @property
    def more(self) -> bool:
        """Whether others follow those that have been read."""
        return self._more

    def on_click(self, event: Click) -> None:
        """The library puts the cursor on the row; where it is already, that row is meant to be opened."""
        if self._rows and event.style.meta.get("row") == self.cursor_row:
            self.post_message(self.Clicked())

    def on_resize(self, event: Resize) -> None:
        """Columns follow the width of the screen."""
        if self._room() != self._drawn_for:
            self._draw()
        if self._rows:
            # A row that is marked and not seen would be written to unseen.
            self.call_after_refresh(self._scroll_cursor_into_view)

    def _room(self) -> tuple[int, int]:
        """Cells there are for a row, and how many of them the bar at its end will take.

        Before it is laid out a list is taken to become as large as the screen, as it nearly does: keys that come with
        the one that opened it find its rows, and these are not made twice.
        """
        there = self.size or self.app.size
        long = len(self._rows) + self.header_height > there.height
        return there.width, self.styles.scrollbar_size_vertical if long else 0

    def not_seen(self) -> list[tuple[str, str]]:
        """Of the row the cursor is on, on a narrow screen: what has no column, with its heading, and what is cut in its
        column, without one."""
        if self.app.size.width >= ROOMY or self.key_here is None:
            return []
        widths = {at: wide for at, wide, _ in self._drawn}
        seen = {column.words for _, _, column in self._drawn}
        found: dict[str, tuple[str, str]] = {}
        for at, (column, said) in enumerate(zip(self._spec, self._rows[self.cursor_row].cells, strict=True)):
            text = said[0] if isinstance(said, tuple) else said
            if at in widths and cell_len(tell(text)) > widths[at]:
                found[column.words] = "", text
            elif at not in widths and column.words not in seen and text.strip():
                # Of two columns for the same, one for wider screens, the last says most.
                found[column.words] = column.words, text
        return list(found.values())

    def _draw(self) -> None:
        self._drawn_for = width, bar = self._room()
        here = self.cursor_row
        self.clear(columns=True)
        self._drawn = widths_of(self._spec, self.app.size.width, width - bar)
        for at, wide, _ in self._drawn:
            self.add_column("", width=wide, key=str(at))
        self._append(self._rows)
        if self._rows:
            self.move_cursor(row=min(here, len(self._rows) - 1))

    def _append(self, rows: Sequence[Row]) -> None:
        # The library is told that they are there; what stands in them is drawn when they are looked at.
        for row in rows:
            self.add_row(key=row.key)
        # How long the list is now is known before it is painted, or its lines would be painted twice: the bar beside
        # them takes a cell.
        self._update_dimensions(())

    def _update_dimensions(self, new_rows: Iterable[RowKey]) -> None:
        """Every column has its width and every row one line: no cell has to be measured (a private part; pinned)."""
        super()._update_dimensions(())

    def _render_line_in_row(
        self,
        row_key: RowKey,
        line_no: int,
        base_style: Style,
        cursor_location: Coordinate,
        hover_location: Coordinate,
    ) -> tuple[list[list[Segment]], list[list[Segment]]]:
        """One row, or the headings, as the library would draw it: it lets its console set every cell as if it were a
        page of text, which took half of the time a list needs to open (a private part; pinned)."""
        at = self._row_locations.get(row_key) if row_key in self._row_locations else -1
        assert at is not None
        looks, over = self._get_styles_to_render_cell(
            at < 0,
            False,
            False,
            at == hover_location.row,
            at == cursor_location.row,
            self.show_cursor,
            self._show_hover_cursor,
            self.cursor_foreground_priority == "css",
            self.cursor_background_priority == "css",
        )
        # A click finds its row by this.
        under = self._get_row_style(at, base_style) + looks + Style.from_meta({"row": at, "column": 0})
        segments = []
        left = self.size.width
        for place, wide, column in self._drawn:
            said = column.words if at < 0 else self._rows[at].cells[place]
            text, own = said if isinstance(said, tuple) else (said, "")
            style = under + self._own(own) + over
            margin = " " * self.cell_padding
            segments.append(Segment(f"{margin}{cell(text, wide, right=column.right)}{margin}", style))
            left -= wide + 2 * self.cell_padding
        segments.append(Segment(" " * max(left, 0), under))
        return [], [segments]

    def _own(self, name: str) -> Style:
        """A style by its name, its colours by those of the theme: the console knows none of them."""
        if "$" in name:
            colours = self.app.theme_variables
            name = " ".join(colours.get(one[1:], "") if one.startswith("$") else one for one in name.split())
        return _style(name)

    @on(DataTable.RowHighlighted)
    def _near_end(self, event: DataTable.RowHighlighted) -> None:
        if event.cursor_row >= len(self._rows) - NEAR_END:
            self.read_more()

    def read_more(self) -> None:
        """Ask the ledger for the next page, if there is one and room for it."""
        if not self._more or len(self._rows) >= self.MOST:
            return
        page = self._fetch(self._rows[-1].key if self._rows else "")
        self._rows.extend(page.rows)
        self._more = page.more
        self._append(page.rows)
        self.post_message(self.Grown(len(self._rows), self._more))

"""The sheet with a picture of survival by lot; every figure in it stands on the Rearing sheet."""

from __future__ import annotations

from exports.workbook.sheet import CHECKED, FIRST_ROW, Live, Styles, live
from ledger.books.year import YearBooks

_LOT, _SURVIVAL = 1, 10
"""Columns of the Rearing sheet."""


def add(styles: Styles, books: YearBooks, checked: str) -> None:
    """Add the sheet, if any lot has been reared."""
    shown = [one.row for one in books.reared if one.row.lot and one.row.survival is not None and one.row.reached]
    if not shown:
        return
    sheet = styles.book.add_worksheet("Chart")
    sheet.write_string(0, 0, "Survival by lot", styles.title)
    sheet.write_string(
        1,
        0,
        "Share estimated to reach the reared stage by the year's end. No bar: none reared, or not known. See Rearing.",
    )
    sheet.write_string(2, 0, "Checks:", styles.of("text", strong=True))
    live(sheet, styles, 2, 1, Live(CHECKED, checked), styles.of("text", strong=True))
    last = FIRST_ROW + len(books.reared) - 1
    picture = styles.book.add_chart({"type": "bar"})
    picture.add_series(
        {
            "name": "Survival",
            "categories": ["Rearing", FIRST_ROW, _LOT, last, _LOT],
            "values": ["Rearing", FIRST_ROW, _SURVIVAL, last, _SURVIVAL],
            "data_labels": {"value": True},
            "gap": 40,
        }
    )
    picture.set_title({"name": "Survival by lot"})
    picture.set_legend({"none": True})
    picture.set_x_axis({"min": 0, "max": 1, "num_format": "0%", "name": "Share reared"})
    picture.set_y_axis({"reverse": True, "name": "Lot, or all of a species", "interval_unit": 1})
    # Beside a bar of 100 % there is room for its figure; the axes have their names above and to the left.
    picture.set_plotarea({"layout": {"x": 0.13, "y": 0.1, "width": 0.77, "height": 0.84}})
    # As high as it takes for every lot to have its bar, its name and its figure.
    picture.set_size({"width": 760, "height": max(360, 110 + 19 * len(books.reared))})
    said = "; ".join(f"{row.lot} {row.survival:.0%}" for row in shown if row.survival is not None)
    sheet.insert_chart(4, 0, picture, {"description": f"Bars of survival by lot: {said}."})
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 1)
    sheet.set_footer("&L&A&R&P / &N")
    sheet.set_column(0, 0, 11)
    sheet.set_column(1, 1, 16)

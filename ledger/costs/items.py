"""What counts as the same thing bought again: its category and what it was, however it is capitalised.

Feed in use lasts until the next of the same item is opened; a store is kept for each item.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

Item = tuple[str, str]
"""Category and text, in small letters."""


def item_of(row: Any) -> Item:
    """The item of a row that has a `category` and a `text`."""
    return row.category.casefold(), row.text.casefold()


def item_words(category: str, text: str) -> str:
    """An item as a keeper reads it."""
    return text or category


def opened_on(bought_on: dt.date, accounting_on: dt.date, window_from: dt.date) -> dt.date:
    """The day a thing was opened: that it was bought on, where a closed year has its days begin later."""
    return bought_on if bought_on < accounting_on == window_from else window_from

"""What counts as the same thing bought again: its category and what it was, however it is capitalised.

Feed in use lasts until the next of the same item is opened; a store is kept for each item.
"""

from __future__ import annotations

from typing import Any

Item = tuple[str, str]
"""Category and text, in small letters."""


def item_of(row: Any) -> Item:
    """The item of a row that has a `category` and a `text`."""
    return row.category.casefold(), row.text.casefold()


def item_words(category: str, text: str) -> str:
    """An item as a keeper reads it."""
    return text or category

"""What stands where a list would be while there is nothing to list: what this is, and what to do first."""

from __future__ import annotations

from textual.widgets import Static

from tui.plain import parts


class Empty(Static):
    """A sentence on what is missing and one on what to do about it."""

    def __init__(self, what: str, first: str) -> None:
        super().__init__(parts((what, "bold"), ("\n\n", ""), first), markup=False, classes="empty")

"""Columns of numbers of papers, as wide as the keeper's own patterns make them."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from ledger.ledger import Ledger
from ledger.records.numbers import longest
from ledger.records.series import Kind
from tui.widgets.paged import Column


def wide_enough(columns: tuple[Column, ...], ledger: Ledger, *kinds: Kind) -> tuple[Column, ...]:
    """The columns of a list whose first holds numbers of some kinds of paper."""
    numbers, *others = columns
    needed = ledger.ask(partial(longest, kinds=kinds))
    return (replace(numbers, width=max(numbers.width or 0, needed)), *others)

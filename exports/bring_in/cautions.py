"""Cautions of many rows, those alike in one line with the rows they are of, so that the rare one is seen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from exports.bring_in.report import some_rows
from ledger.text import count_words

_DIFFERS = re.compile(r"\d{1,2} (?:[^\W\d]+ )?\d{4}|[^\s,.;:()\"“”]*\d[^\s,.;:()\"“”]*")
"""What differs between cautions that are alike: days, numbers, codes with a figure in them."""


def of_rows(said: Iterable[tuple[Sequence[int], Sequence[str]]]) -> list[str]:
    """Cautions with the rows they are of, each sort once.

    Args:
        said: rows recorded together, and what was to be known of them.
    """
    rows: dict[str, dict[int, None]] = {}
    first: dict[str, str] = {}
    texts: dict[str, dict[str, None]] = {}
    for of, cautions in said:
        for caution in cautions:
            sort = _DIFFERS.sub("#", caution)
            rows.setdefault(sort, {}).update(dict.fromkeys(of[:1]))
            texts.setdefault(sort, {})[caution] = None
            first.setdefault(sort, caution)
    return [_line(list(rows[sort]), caution, len(texts[sort])) for sort, caution in first.items()]


def _line(rows: list[int], caution: str, texts: int) -> str:
    if len(rows) == 1:
        return f"Row {rows[0]}: {caution}"
    such = "such as: " if texts > 1 else ""
    return f"{count_words(len(rows), 'row', 'rows')} {some_rows(sorted(rows))}, {such}{caution}"

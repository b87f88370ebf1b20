"""The table of keys: as the code has it, and one word for a key wherever it works."""

from __future__ import annotations

from collections import defaultdict

import pytest

from tui import key_table
from tui.actions import Act
from tui.places.stock import StockPlace


def test_the_table_is_as_the_code_has_it() -> None:
    written = key_table.FILE.read_text(encoding="utf-8")

    assert written == key_table.table(), "run `python -m tui.key_table`, and read what changed"


def test_a_key_has_one_word_and_a_word_one_key_over_all_screens() -> None:
    assert key_table.clashes() == []


def test_the_check_sees_a_key_with_two_words_and_a_word_with_two_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    strange = (Act("a", "s", "split", "Split."), Act("b", "w", "died", "Died."))
    monkeypatch.setattr(StockPlace, "ACTS", strange)

    found = key_table.clashes()

    assert "s: sell, split" in found
    assert "died: d, w" in found


def test_every_exception_is_still_needed() -> None:
    words: dict[str, set[str]] = defaultdict(set)
    for key, word, _, _ in key_table.uses():
        words[key].add(word)
        words[word].add(key)

    assert [name for name in key_table.EXCEPTIONS if len(words[name]) < 2] == []
    assert len(key_table.EXCEPTIONS) <= 6

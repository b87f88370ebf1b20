"""Paths typed into forms: what cannot be a path is refused in words wherever a form takes one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.errors import BadInput
from tui.forms.archive import _zip
from tui.forms.bring_in import read_path
from tui.forms.packs import _weights
from tui.forms.paths import a_path, is_file
from tui.places.backups import _folder


@pytest.mark.parametrize("read", [a_path("file"), read_path, _folder, _zip])
@pytest.mark.parametrize("typed", ["~no-such-keeper/loft.zip", "a" * 300, "/" + "b" * 400 + "/loft.zip"])
def test_what_cannot_be_a_path_is_refused_in_words(read: Callable[[str], Path], typed: str) -> None:
    with pytest.raises(BadInput, match="cannot be looked at; write another path"):
        read(typed)

    assert not is_file(typed)


def test_a_path_is_taken_as_a_terminal_quotes_it(tmp_path: Path) -> None:
    sheet = tmp_path / "my sheet.csv"
    sheet.touch()

    assert read_path(f" '{sheet}' ") == sheet
    assert is_file(str(sheet))
    assert _zip(str(tmp_path / "loft.zip")) == tmp_path / "loft.zip"


def test_a_weight_of_more_digits_than_can_be_is_refused_in_words() -> None:
    assert _weights("1:3") == (1, 3)
    with pytest.raises(BadInput, match="5000 digits is too large"):
        _weights("1:" + "9" * 5000)

"""Where LibreOffice must be and is not, the tests that need it fail instead of being passed over."""

from __future__ import annotations

import pytest
from _pytest.outcomes import Failed, Skipped

from tests.exports.office import need_office


def test_without_it_the_tests_are_skipped_with_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.delenv("REARLEDGER_NEEDS_LIBREOFFICE", raising=False)

    with pytest.raises(Skipped, match="soffice is not installed"):
        need_office()


def test_where_it_is_said_to_be_needed_they_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.setenv("REARLEDGER_NEEDS_LIBREOFFICE", "1")

    with pytest.raises(Failed, match="must be"):
        need_office()

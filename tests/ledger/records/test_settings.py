"""Plain settings."""

from __future__ import annotations

import pytest

from ledger.act import Act, Scene
from ledger.errors import BadInput, NotFound
from ledger.records.commands import SetSetting
from ledger.records.handlers import HANDLERS
from ledger.records.settings import setting, settings
from ledger.records.store import Store


def _set(store: Store, scene: Scene, name: str, value: str) -> str:
    handler = HANDLERS[SetSetting]
    with store.writing() as conn:
        plan = handler.plan(conn, SetSetting(name, value), scene)
        return handler.commit(conn, plan, Act(1, scene)).sentence


def test_a_setting_can_be_set_and_set_again(store: Store, scene: Scene) -> None:
    _set(store, scene, "business name", "Leaf & Moss")
    said = _set(store, scene, "business name", "  Moss & Leaf ")

    with store.reading() as conn:
        assert setting(conn, "business name") == "Moss & Leaf"
    assert said == 'Business name: "Moss & Leaf".'


def test_settings_never_set_are_empty(store: Store) -> None:
    with store.reading() as conn:
        assert set(settings(conn).values()) == {""}
        assert setting(conn, "locale", "en_GB") == "en_GB"


def test_an_address_keeps_its_lines(store: Store, scene: Scene) -> None:
    _set(store, scene, "address", "1 Fern Lane\r\nMossford\r\n")

    with store.reading() as conn:
        assert setting(conn, "address") == "1 Fern Lane\nMossford"


def test_an_unknown_setting_is_refused_with_the_known_ones(sqlite_store: Store, scene: Scene) -> None:
    with pytest.raises(NotFound, match="the settings are business name, address, terms, locale"):
        _set(sqlite_store, scene, "colour", "green")


@pytest.mark.parametrize(
    ("name", "value"),
    [("locale", "english"), ("locale", "EN-gb"), ("pretend today", "2025-02-30"), ("business name", "A\x1b[31m")],
)
def test_a_value_that_cannot_be_kept_is_refused_and_changes_nothing(
    sqlite_store: Store, scene: Scene, name: str, value: str
) -> None:
    with pytest.raises(BadInput):
        _set(sqlite_store, scene, name, value)

    with sqlite_store.reading() as conn:
        assert setting(conn, name) == ""


def test_a_locale_may_be_written_either_way(sqlite_store: Store, scene: Scene) -> None:
    _set(sqlite_store, scene, "locale", "de-DE")

    with sqlite_store.reading() as conn:
        assert setting(conn, "locale") == "de_DE"

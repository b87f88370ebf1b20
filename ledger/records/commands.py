"""Commands about the ledger itself."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SetSetting:
    """Set a plain setting: business name, address, terms or locale."""

    name: str
    value: str

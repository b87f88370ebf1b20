"""A small invented vocabulary for the jot line's tests."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ledger.money import Currency
from tui.jot_words import Setting

TODAY = dt.date(2025, 6, 4)
"""A Wednesday."""
BEETLE = (
    ("egg", "animal"),
    ("L1", "animal"),
    ("L2", "animal"),
    ("L3", "animal"),
    ("cocoon", "animal"),
    ("soft adult", "animal"),
    ("adult", "animal"),
    ("dried specimen", "specimen"),
)
MANTID = (
    ("ootheca", "object"),
    ("L1-3", "animal"),
    ("L4-7", "animal"),
    ("soft adult", "animal"),
    ("adult", "animal"),
)
ISOPOD = (("colony", "object"), ("manca", "animal"), ("juvenile", "animal"), ("adult", "animal"))
MEALWORM = (("egg", "animal"), ("larva", "animal"), ("prepupa", "animal"), ("pupa", "animal"), ("adult", "animal"))


@dataclass(frozen=True, slots=True)
class SomeWords:
    stages: dict[str, tuple[tuple[str, str], ...]] = field(
        default_factory=lambda: {
            "P08": BEETLE,
            "P09": BEETLE,
            "E03": BEETLE,
            "H03": MANTID,
            "T-1": MEALWORM,
            "I01": ISOPOD,
        }
    )
    example: str = "P08"
    tubs: dict[str, dict[str, int]] = field(default_factory=lambda: {"P08": {"07": 1, "12": 5}, "H03": {"f05": 1}})
    kinds: dict[str, str] = field(
        default_factory=lambda: {
            "P08": "PACH",
            "P09": "PACH",
            "E03": "PACH",
            "H03": "HIER",
            "T-1": "MEAL",
            "I01": "ISO",
        }
    )
    alive: tuple[str, ...] = ("P08", "P09", "H03", "T-1")
    places: dict[str, tuple[str, ...]] = field(
        default_factory=lambda: {
            "egg shelf": ("P08", "H03"),
            "feed": ("P09",),
            "empty [/] shelf": (),
            "rack, upper": ("T-1",),
        }
    )
    species: tuple[str, ...] = ("PACH", "HIER")
    customers: tuple[str, ...] = ("Tarn", "Velo Marrick", "Velo Sund", "Nim Orrel")
    suppliers: tuple[str, ...] = ("Ombrel Leaf & Litter", "Nib & Crate Fittings", "Pellow Feeder Farm")
    categories: dict[str, str] = field(
        default_factory=lambda: {
            "feed": "used up",
            "substrate": "used up",
            "equipment": "lasting",
            "power": "overhead",
            "postage": "selling",
            "fair table": "selling",
        }
    )


SETTING = Setting(SomeWords(), TODAY, Currency("EUR", 2))

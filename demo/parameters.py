"""Figures of the invented business: species, lots, prices, people, costs. All of it is made up.

Stage lengths of the mantid and the gecko follow the sources in their templates; every other survival is an assumption
of this demo.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

SEED = 20240101
FIRST = dt.date(2024, 1, 1)
LAST = dt.date(2025, 12, 31)
NAME = "Quillmere Loft"
CURRENCY = "EUR"
PEOPLE = ("Wren", "Oda")

SPECIES = (
    ("PACH", "pachnoda-marginata"),
    ("EXTA", "extatosoma-tiaratum"),
    ("HIER", "hierodula-membranacea"),
    ("PORC", "porcellio-scaber"),
    ("GECK", "eublepharis-macularius"),
)


@dataclass(frozen=True, slots=True)
class Step:
    """How animals of a stage fare: days in it and the share that survives it."""

    stage: str
    low: int
    high: int
    survival: float


LIVES: dict[str, tuple[Step, ...]] = {
    "PACH": (
        Step("egg", 21, 28, 0.95),
        Step("L1", 12, 20, 0.93),
        Step("L2", 13, 20, 0.925),
        Step("L3", 45, 70, 0.92),
        Step("cocoon", 35, 56, 0.85),
        Step("soft adult", 7, 10, 0.98),
        Step("adult", 120, 200, 0.0),
    ),
    "EXTA": (
        Step("egg", 120, 180, 0.70),
        Step("L1-3 nymph", 50, 80, 0.75),
        Step("L4-6 nymph", 60, 90, 0.88),
        Step("adult", 130, 300, 0.0),
    ),
    "HIER": (
        Step("L1-3 nymph", 35, 50, 0.55),
        Step("L4-7 nymph", 60, 80, 0.78),
        Step("soft adult", 7, 10, 0.97),
        Step("adult", 90, 150, 0.0),
    ),
    "PORC": (
        Step("manca", 27, 45, 0.60),
        Step("juvenile", 60, 100, 0.85),
        Step("adult", 300, 600, 0.0),
    ),
    "GECK": (
        Step("egg", 45, 65, 0.80),
        Step("hatchling", 60, 75, 0.95),
        Step("juvenile", 240, 360, 0.99),
        Step("adult", 3000, 4000, 0.0),
    ),
}
"""Stages in order; adults die of old age at the end of their days."""

LIVES_WITHOUT_MATING = (
    Step("egg", 270, 340, 0.45),
    Step("L1-3 nymph", 50, 80, 0.75),
    Step("L4-6 nymph", 60, 90, 0.88),
    Step("adult", 130, 300, 0.0),
)
"""Eggs of unmated stick insects: a long wait, all female."""

STUCK_HEATER = {"L3": 0.08}
"""Survival of the lot whose heater stuck."""

SUPPLIERS = {
    "feed": "Ombrel Leaf & Litter",
    "boxes": "Tavrin Boxes",
    "power": "Sallow Lane Power",
    "feeders": "Pellow Feeder Farm",
    "equipment": "Nib & Crate Fittings",
}

SYLLABLES = ("tar", "mel", "os", "ving", "quor", "fen", "dal", "wick", "sor", "lun", "bram", "eth", "oll", "pim", "rud")
SHOPS = ("Marrowby Pets", "The Glass Fern", "Under Stone and Leaf")

MONTH_WEIGHTS = (0.7, 0.8, 1.4, 1.4, 1.2, 0.9, 0.5, 0.6, 1.3, 1.4, 1.1, 0.7)
SALES_BY_SPECIES = {"PACH": 55, "EXTA": 45, "HIER": 45, "PORC": 45, "GECK": 30}
CHANNELS = {"post": 150, "fair": 46, "collection": 16, "trade": 8}
FAIRS = (
    (dt.date(2024, 4, 21), 6),
    (dt.date(2024, 10, 12), 14),
    (dt.date(2024, 10, 13), 10),
    (dt.date(2025, 4, 13), 8),
    (dt.date(2025, 10, 12), 6),
)
FAIR_NAMES = (
    ("Quillmere spring fair 2024", dt.date(2024, 4, 21), dt.date(2024, 4, 21)),
    ("Quillmere autumn fair 2024", dt.date(2024, 10, 12), dt.date(2024, 10, 13)),
    ("Quillmere spring fair 2025", dt.date(2025, 4, 13), dt.date(2025, 4, 13)),
    ("Quillmere autumn fair 2025", dt.date(2025, 10, 12), dt.date(2025, 10, 12)),
)
"""Name, first and last day of each fair."""
FAIR_FLOAT = 6000
"""Change taken along, in cents."""
FAIR_OFF = {"Quillmere autumn fair 2024": -150}
"""Cents by which the cash counted differs from what was expected."""
POSTAGE = 850
NO_POST = (
    (dt.date(2024, 7, 29), dt.date(2024, 8, 9)),
    (dt.date(2025, 1, 6), dt.date(2025, 1, 17)),
)
"""Times when it was too hot or too cold to send animals."""


@dataclass(frozen=True, slots=True)
class Pack:
    """Something on the price list: so many animals of a stage and sex for a price in cents."""

    species: str
    stage: str
    animals: int
    name: str
    price: int
    sex: str = "any"
    later: int | None = None
    """Price from 1 February 2025."""
    trade: int | None = None


PRICE_CHANGE = dt.date(2025, 2, 1)
PACKS = (
    Pack("PACH", "L3", 10, "group of 10", 1200, later=1400),
    Pack("PACH", "L3", 50, "group of 50", 4500, trade=3800),
    Pack("PACH", "adult", 2, "pair 1.1", 900),
    Pack("PACH", "adult", 10, "group of 10", 3200),
    Pack("PACH", "dried specimen", 1, "single", 300),
    Pack("EXTA", "egg", 10, "group of 10", 600),
    Pack("EXTA", "L1-3 nymph", 10, "group of 10", 1800),
    Pack("EXTA", "L4-6 nymph", 1, "single", 350),
    Pack("EXTA", "adult", 2, "pair 1.1", 2500),
    Pack("HIER", "L1-3 nymph", 1, "single", 400),
    Pack("HIER", "L1-3 nymph", 10, "group of 10", 3000),
    Pack("HIER", "adult", 1, "single", 1800, sex="female"),
    Pack("HIER", "adult", 2, "pair 1.1", 3000, later=2600),
    Pack("PORC", "adult", 10, "group of 10", 600, later=700),
    Pack("PORC", "adult", 25, "group of 25", 1200),
    Pack("PORC", "adult", 100, "group of 100", 3500, trade=2800),
    Pack("PORC", "juvenile", 10, "group of 10", 500),
    Pack("GECK", "juvenile", 1, "single", 4500, sex="unsexed"),
    Pack("GECK", "juvenile", 1, "single", 7500, sex="female"),
    Pack("GECK", "adult", 2, "pair 1.1", 11000),
)


@dataclass(frozen=True, slots=True)
class Bought:
    """Something spent, in cents."""

    on: dt.date
    category: str
    amount: int
    supplier: str
    text: str
    kind: str = "used up"
    species: tuple[str, ...] = ()
    life_days: int | None = None
    residual: int = 0
    days: int | None = None
    """Days it is used up over, from its day on; negative: up to its day. None: until the next is opened."""
    share: int = 10000
    fair: str = ""
    """Name of the fair it was spent on."""


EQUIPMENT = (
    (dt.date(2024, 1, 8), "incubator", 14500, 5, 1500, ("GECK",)),
    (dt.date(2024, 1, 10), "rack, upper", 10400, 8, 1000, ()),
    (dt.date(2024, 1, 10), "rack, lower", 10400, 8, 1000, ()),
    (dt.date(2024, 1, 15), "heat mat 1", 2200, 3, 0, ()),
    (dt.date(2024, 1, 15), "heat mat 2", 2200, 3, 0, ()),
    (dt.date(2024, 9, 20), "heat mat 3", 2200, 3, 0, ()),
    (dt.date(2024, 1, 15), "thermostat 1", 3800, 4, 0, ()),
    (dt.date(2024, 12, 20), "thermostat 2", 3800, 4, 0, ()),
    (dt.date(2024, 2, 2), "scale", 2500, 5, 0, ()),
)
"""Day, thing, cents, life in years, what it will still be worth, species (none: all)."""

SHOP_FROM = dt.date(2025, 4, 22)
"""From this day on a shop waits for grubs."""
PAIR_FROM, PAIR_OUT_OF, PAIR_ON = "G02", 5, dt.date(2025, 6, 1)
"""So many geckos of this lot are not sold before the day on which a pair is promised."""
CLAIM_FROM, CLAIM_ON = "H03", dt.date(2024, 7, 8)
"""Lot of the nymphs of which some arrive dead, not sold before they are posted."""
RESERVED = "H02"
"""Sold only in the two sales whose origin is corrected later."""

FIXED: Counter[str] = Counter({"HIER": 3, "EXTA": 2, "PACH": 5, "collection": 2, "post": 3, "trade": 3})
"""Sales of fixed days that count towards the numbers of a species or channel."""

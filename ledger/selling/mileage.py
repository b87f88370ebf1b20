"""Mileage: kilometres driven at the keeper's own rate. There is no rate until one is given or set; what rules allow is
for the keeper's adviser."""

from __future__ import annotations

import re
from decimal import Decimal

from sqlalchemy import Connection

from ledger.errors import BadInput
from ledger.money import Currency, round_half_even
from ledger.records.settings import kilometre_rate, setting
from ledger.text import quoted
from ledger.wording import say

MOST_KM = 100_000
_KM = re.compile(r"[0-9]{1,6}(?:[.,][0-9])?", re.ASCII)


def mileage(conn: Connection, km: str, rate: str, currency: Currency) -> tuple[int, str]:
    """What kilometres come to, in minor units, and how that was reckoned: '84 km at 0.30'.

    Args:
        conn: a connection.
        km: as typed, with one place after the point at most.
        rate: of one kilometre, as typed; empty: as it is set.
        currency: of the ledger.

    Raises:
        BadInput: no such number or rate, or no rate is set.
    """
    typed = km.strip().lower().removesuffix("km").strip()
    driven = Decimal(typed.replace(",", ".")) if _KM.fullmatch(typed) else Decimal(0)
    if not 0 < driven <= MOST_KM:
        raise BadInput(say("{km} is not a number of kilometres; write it like 84 or 84.5.", km=quoted(km)), "km")
    per_km = kilometre_rate(rate, "rate") or setting(conn, "kilometre rate", "")
    if not per_km:
        raise BadInput(
            say("Say what a kilometre is reckoned at, or set it once with `setting kilometre rate 0.30`."), "rate"
        )
    thousandths = int(driven * Decimal(per_km) * 10 ** (currency.digits + 7))
    return round_half_even(thousandths, 10**7), say("{driven} km at {per_km}", driven=driven, per_km=per_km)

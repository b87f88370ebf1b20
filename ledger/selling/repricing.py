"""The right price of a sale whose price was written too high: a credit of the difference, shared over its lines."""

from __future__ import annotations

from sqlalchemy import Connection

from ledger.errors import BadInput, Refused
from ledger.money import largest_remainder
from ledger.selling.commands import CreditLine
from ledger.selling.sale import find_sale
from ledger.wording import say


def lines_to_price(conn: Connection, number: str, price: int) -> tuple[CreditLine, ...]:
    """The lines of a credit after which the animals of a sale come to a price, in minor units.

    Raises:
        NotFound, BadInput, Refused: there is no such sale, it is credited, or it comes to no more than that.
    """
    sale = find_sale(conn, number)
    if sale.undone:
        raise Refused(say("{number} was credited in full; it has no price any more.", number=sale.number), "price")
    left = [line.net - line.credited_amount for line in sale.lines]
    off = sum(left) - price
    if price < 0 or off <= 0:
        raise BadInput(
            say(
                "A credit only makes a price smaller; for a higher one credit {number} in full and sell anew.",
                number=sale.number,
            ),
            "price",
        )
    return tuple(
        CreditLine(line.position, amount)
        for line, amount in zip(sale.lines, largest_remainder(off, left), strict=True)
        if amount
    )

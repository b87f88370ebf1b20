"""Amounts of money: whole minor units inside, decimals only where people read or type.

Owns strict reading (never a guess), exact writing, rounding and sharing out. Knows nothing of costs, sales or
locales' habits beyond what Babel says of them. Digits after ISO 4217; largest remainder after Hamilton;
half-even after IEEE 754.
"""

import copy
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from ledger.errors import Ambiguous, BadInput
from ledger.text import quoted
from ledger.wording import an_amount, counted, say

LARGEST_AMOUNT = 10**11
"""Largest amount that may be typed, in minor units, either side of nought."""

DecimalSign = Literal[".", ","]

# Decimals after ISO 4217 (List One, 2026-01-01), because invoices and bank statements are written to it, and because a
# ledger's amounts must not change their meaning with the next release of a library: what CLDR takes for customary in
# daily use differs, and differed between its releases 47 and 49 for the forint and the rupiah. All others have two.
_USUAL_DIGITS = 2
_DIGITS = {
    code: digits
    for digits, codes in {
        0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
        3: "BHD IQD JOD KWD LYD OMR TND",
        4: "CLF UYW",
    }.items()
    for code in codes.split()
}

# Signs people type, each with the currencies it may stand for.
_SIGNS = {
    "€": ("EUR",),
    "£": ("GBP", "EGP", "FKP", "GIP", "SHP"),
    "$": ("USD", "AUD", "CAD", "NZD", "HKD", "SGD", "TWD", "MXN", "CLP", "COP", "ARS"),
    "¥": ("JPY", "CNY"),
    "￥": ("JPY", "CNY"),
    "₹": ("INR",),
    "₩": ("KRW",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "zł": ("PLN",),
    "Kč": ("CZK",),
}
_SPACES = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u202f", " ") | {"\u2019": "'"})
_MINUS = ("-", "\u2212")
_PARTS = re.compile(r"(?P<front>[^0-9]*)(?P<number>[0-9](?:.*[0-9])?)(?P<back>[^0-9]*)")
_NUMBER = re.compile(r"[0-9]+(?:[ '.,][0-9]+)*")
_LONGEST_TEXT = 40
_LETTER_BESIDE_FIGURE = re.compile(r"(?<=[^\W\d_])(?=\d)|(?<=\d)(?=[^\W\d_])")


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency by its ISO 4217 code and the number of decimals its amounts have."""

    code: str
    digits: int
    """Decimals of one unit: JPY 0, EUR 2, BHD 3."""

    @classmethod
    def of(cls, code: str) -> "Currency":
        """Look a code up (case does not matter). Raises BadInput for a code that names no money."""
        from babel.core import get_global
        from babel.numbers import is_currency

        upper = code.strip().upper()
        tender = {entry[0] for entries in get_global("territory_currencies").values() for entry in entries if entry[3]}
        # ISO 4217 keeps X for codes of no country: a few are shared currencies, the rest metals and tests.
        if not is_currency(upper) or (upper.startswith("X") and upper not in tender):
            raise BadInput(
                say(
                    "{code} is not a currency code; use the three letters of ISO 4217, such as EUR.", code=quoted(code)
                ),
                field="currency",
                facts={"text": code},
            )
        return cls(upper, _DIGITS.get(upper, _USUAL_DIGITS))


def parse_amount(
    text: str, currency: Currency, *, field: str = "amount", decimal_sign: DecimalSign | None = None
) -> int:
    """Read an amount as a person writes it and return minor units.

    Takes 4.50, 4,50, 1 234,56, 1'234.50, "12,50 €", "EUR 4.50", (5.00) and -5,00, with a hyphen or a minus
    sign. What could be read in two ways, such as 1.234 in a currency with decimals, is refused as Ambiguous
    and never guessed, with two exceptions: a currency without decimals has only the thousands to mean, and
    three decimals after a point in a currency of three are what this program itself writes. `decimal_sign`
    settles the matter when a whole column, or the writer, has shown which sign they use.
    Anything else that is not plainly an amount of this currency raises BadInput: too many decimals, another
    currency, NaN, 1e5, 1_000, or more than 10**11 minor units.
    """
    negative, number = _strip_marks(text, currency, field)
    readings = list(_readings(number, decimal_sign))
    if not readings:
        raise _unreadable(text, currency, field)
    whole, fraction = _only_reading(readings, text, currency, field)
    if len(fraction) > currency.digits:
        raise BadInput(
            counted(
                len(fraction),
                "{text} has {n} decimal, {code} has {digits}; round it.",
                "{text} has {n} decimals, {code} has {digits}; round it.",
                text=quoted(text),
                code=currency.code,
                digits=currency.digits,
            ),
            field=field,
            facts={"text": text, "decimals": len(fraction), "digits": currency.digits},
        )
    minor = _minor(whole, fraction, currency)
    if minor > LARGEST_AMOUNT:
        raise BadInput(
            say(
                "{text} is more than these books can hold in one amount ({largest_amount} {code}); check the figures.",
                text=quoted(text),
                largest_amount=amount_text(LARGEST_AMOUNT, currency),
                code=currency.code,
            ),
            field=field,
            facts={"text": text, "largest": LARGEST_AMOUNT},
        )
    return -minor if negative else minor


def as_decimal(minor: int, currency: Currency) -> Decimal:
    """Return minor units as an exact Decimal with the currency's decimals: 2400 -> Decimal('24.00')."""
    return Decimal(f"{minor}E-{currency.digits}")


def amount_text(minor: int, currency: Currency) -> str:
    """Return a plain decimal number for files: point, no grouping, the currency's decimals, never -0.00.

    A screen in another language writes it with the decimal sign of that language.
    """
    return an_amount(minor, "", currency.digits, f"{as_decimal(minor, currency):f}")


def said(minor: int, currency: Currency) -> str:
    """Return an amount for a sentence that is stored: '24.00 EUR', the same in every locale."""
    text = f"{amount_text(minor, currency)} {currency.code}"
    return an_amount(minor, currency.code, currency.digits, text)


def shown(minor: int, currency: Currency, locale: str) -> str:
    """Return an amount as people of `locale` (`de_DE`) write it, with the currency's sign.

    Decimals are the currency's own and nothing is rounded, so that -0.00 cannot appear. A sign made of
    letters is parted from the figures by a space that does not break (UTS #35, currency spacing).
    """
    from babel.core import Locale

    parsed = Locale.parse(locale)
    pattern = copy.copy(parsed.currency_formats["standard"])
    pattern.frac_prec = (currency.digits, currency.digits)
    text = str(pattern.apply(as_decimal(minor, currency), parsed, currency=currency.code, currency_digits=False))
    return _LETTER_BESIDE_FIGURE.sub("\u00a0", text)


def largest_remainder(total: int, weights: Sequence[int]) -> tuple[int, ...]:
    """Share a whole total in proportion to whole weights, exactly.

    Each share is its quota rounded down; what is left goes one by one to the largest fractions, the first in
    order winning a tie (method of Hamilton, also called Hare quota). A negative total is shared like the
    positive one, with signs turned. Returns one share per weight; they sum to `total`. Raises ValueError for
    a negative weight, or when there is something to share and no weight to carry it.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("weights cannot be negative")
    weight_sum = sum(weights)
    if weight_sum == 0:
        if total != 0:
            raise ValueError("no weight to carry the total")
        return (0,) * len(weights)
    if len(weights) == 1:
        return (total,)
    sign = -1 if total < 0 else 1
    quotas = [divmod(abs(total) * weight, weight_sum) for weight in weights]
    shares = [floor for floor, _ in quotas]
    by_fraction = sorted(range(len(weights)), key=lambda place: -quotas[place][1])
    for place in by_fraction[: abs(total) - sum(shares)]:
        shares[place] += 1
    return tuple(sign * share for share in shares)


def round_half_even(numerator: int, denominator: int) -> int:
    """Round an exact fraction to the nearest whole number, a half to the even one (IEEE 754 default)."""
    if denominator < 0:
        numerator, denominator = -numerator, -denominator
    floor, remainder = divmod(numerator, denominator)
    above_half = 2 * remainder - denominator
    return floor + 1 if above_half > 0 or (above_half == 0 and floor % 2) else floor


def _strip_marks(text: str, currency: Currency, field: str) -> tuple[bool, str]:
    """Take minus or brackets and a currency mark off; return (negative, digits with separators)."""
    bare = unicodedata.normalize("NFC", text).translate(_SPACES).strip()
    bracketed = bare.startswith("(") and bare.endswith(")")
    if bracketed:
        bare = bare[1:-1]
    parts = _PARTS.fullmatch(bare) if len(bare) <= _LONGEST_TEXT else None
    if parts is None or not _NUMBER.fullmatch(parts["number"]):
        raise _unreadable(text, currency, field)
    front, back = parts["front"].strip(), parts["back"].strip()
    minus = front.startswith(_MINUS) or front.endswith(_MINUS)
    if minus:
        front = (front[1:] if front.startswith(_MINUS) else front[:-1]).strip()
    if (bracketed and minus) or (front and back):
        raise _unreadable(text, currency, field)
    _check_mark(front or back, text, currency, field)
    return bracketed or minus, parts["number"]


def _check_mark(mark: str, text: str, currency: Currency, field: str) -> None:
    if not mark or mark.upper() == currency.code or currency.code in _SIGNS.get(mark, ()):
        return
    if mark in _SIGNS or re.fullmatch(r"[A-Za-z]{3}", mark):
        raise BadInput(
            say("{text} is in another currency than {code}; give it in {code}.", text=quoted(text), code=currency.code),
            field=field,
            facts={"text": text, "mark": mark, "currency": currency.code},
        )
    raise _unreadable(text, currency, field)


def _readings(number: str, decimal_sign: DecimalSign | None) -> Iterator[tuple[str, str]]:
    """Yield each (whole digits, decimals) that the number could stand for."""
    group_signs = [sign for sign in " '.," if sign != decimal_sign]
    whole = _ungrouped(number, group_signs)
    if whole is not None:
        yield whole, ""
    for sign in (decimal_sign,) if decimal_sign else (".", ","):
        if number.count(sign) == 1:
            before, after = number.split(sign)
            whole = _ungrouped(before, [other for other in group_signs if other != sign])
            if whole is not None and after.isdigit():
                yield whole, after


def _ungrouped(number: str, group_signs: Sequence[str]) -> str | None:
    """Return the digits of a whole number, plain or grouped in threes by one sign throughout, else None."""
    if number.isdigit():
        return number
    for sign in group_signs:
        first, *groups = number.split(sign)
        if (
            re.fullmatch(r"[1-9][0-9]{0,2}", first)
            and groups
            and all(re.fullmatch(r"[0-9]{3}", group) for group in groups)
        ):
            return first + "".join(groups)
    return None


def _only_reading(readings: Sequence[tuple[str, str]], text: str, currency: Currency, field: str) -> tuple[str, str]:
    if len(readings) == 1 or currency.digits == 0:
        return readings[0]
    as_thousands, as_decimals = readings
    if len(as_decimals[1]) == currency.digits and "." in text:
        return as_decimals
    choices = tuple(
        amount_text(_minor(whole, fraction, currency), currency)
        for whole, fraction in readings
        if len(fraction) <= currency.digits
    )
    advice = (
        " or ".join(choices)
        if len(choices) == 2
        else say("{choices}, or at most {digits} decimals", choices=choices[0], digits=currency.digits)
    )
    raise Ambiguous(
        say(
            "{text} may mean {thousands} or {decimals}; write {advice}.",
            text=quoted(text),
            thousands=as_thousands[0],
            decimals=".".join(as_decimals),
            advice=advice,
        ),
        field=field,
        facts={"text": text},
        choices=choices,
    )


def _minor(whole: str, fraction: str, currency: Currency) -> int:
    return int(whole + fraction.ljust(currency.digits, "0"))


def _unreadable(text: str, currency: Currency, field: str) -> BadInput:
    if not text.strip():
        return BadInput(say("There is no amount; write one."), field=field, facts={"text": text})
    example = amount_text(1234 * 10**currency.digits, currency)
    return BadInput(
        say("{text} is not an amount that can be read; write it like {example}.", text=quoted(text), example=example),
        field=field,
        facts={"text": text},
    )

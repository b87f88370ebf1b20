"""The language of a document, apart from that of the screen: its words, plurals, dates and amounts.

English is what stands in the code; every other language has a compiled gettext catalogue beside this module. Dates and
amounts follow the ledger's locale where it is of the same language, else the language's own habits (Babel, CLDR).
"""

from __future__ import annotations

import datetime as dt
import gettext
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from ledger.errors import BadInput
from ledger.money import Currency, as_decimal, shown
from ledger.text import quoted

if TYPE_CHECKING:
    from babel.core import Locale

SOURCE = "en"
"""The language the code is written in."""
LANGUAGES: Final = {SOURCE: "English", "de": "Deutsch"}
"""Languages a document can be written in."""
CATALOGUES = "catalogues"
"""Folder of the catalogues, in this package."""
_LETTER_PAGE = frozenset(["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"])
"""Territories whose writing paper is US Letter (CLDR supplemental data, measurement data)."""


def mark(message: str) -> str:
    """Mark a message for the catalogues that is said later."""
    return message


def mark_counted(one: str, many: str) -> tuple[str, str]:
    """Mark a message with its plural for the catalogues that is said later."""
    return one, many


class Language:
    """Says things in one language.

    Args:
        code: one of `LANGUAGES`.
        locale: of the ledger, such as en_NZ; empty if none is set.

    Raises:
        BadInput: there is no such language.
    """

    def __init__(self, code: str = SOURCE, locale: str = "") -> None:
        if code not in LANGUAGES:
            known = ", ".join(f"{one} ({name})" for one, name in LANGUAGES.items())
            raise BadInput(f"No documents can be written in {quoted(code)}; choose one of: {known}.", "language")
        self.code = code
        self.locale = _locale(code, locale)
        self._catalogue = catalogue(code)

    @property
    def is_source(self) -> bool:
        """Whether this is the language the ledger's own words are in."""
        return self.code == SOURCE

    @property
    def letter_page(self) -> bool:
        """Whether people there write on US Letter paper."""
        return self.locale.territory in _LETTER_PAGE

    def say(self, message: str, **values: object) -> str:
        """A message with its values put in."""
        return self._catalogue.gettext(message) % values if values else self._catalogue.gettext(message)

    def counted(self, one: str, many: str, n: int, **values: object) -> str:
        """A message in the form that goes with `n`, which stands in it as %(n)s."""
        return self._catalogue.ngettext(one, many, n) % {"n": self.number(n), **values}

    def day(self, day: dt.date) -> str:
        """A day in words: 12 March 2025."""
        from babel.dates import format_date

        return format_date(day, "long", locale=self.locale)

    def short_day(self, day: dt.date) -> str:
        """A day for a column: 12 Mar 2025, 12.03.2025."""
        from babel.dates import format_date

        return format_date(day, "medium", locale=self.locale)

    def number(self, n: int) -> str:
        """A whole number, grouped."""
        from babel.numbers import format_decimal

        return format_decimal(n, locale=self.locale)

    def amount(self, minor: int, currency: Currency) -> str:
        """An amount for a column whose currency is said elsewhere; exact, never -0.00."""
        from babel.numbers import format_decimal

        decimals = "." + "0" * currency.digits if currency.digits else ""
        return format_decimal(as_decimal(minor, currency), format=f"#,##0{decimals}", locale=self.locale)

    def money(self, minor: int, currency: Currency) -> str:
        """An amount with the currency's sign."""
        return shown(minor, currency, str(self.locale))

    def listed(self, parts: Sequence[str]) -> str:
        """'a, b and c'."""
        from babel.lists import format_list

        return format_list(list(parts), locale=self.locale)


@cache
def catalogue(code: str, package: str = __package__, folder: str = CATALOGUES) -> gettext.NullTranslations:
    """The compiled catalogue of a language in a package; for the language of the code one that changes nothing."""
    if code == SOURCE:
        return gettext.NullTranslations()
    with files(package).joinpath(folder, f"{code}.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def _locale(code: str, wanted: str) -> Locale:
    from babel.core import Locale, UnknownLocaleError

    try:
        locale = Locale.parse(wanted) if wanted else None
    except (UnknownLocaleError, ValueError):
        locale = None
    # Plain "en" is American to CLDR: its dates would be read wrongly elsewhere.
    return locale if locale is not None and locale.language == code else Locale.parse(_HOME[code])


_HOME = {"en": "en_GB", "de": "de_DE"}

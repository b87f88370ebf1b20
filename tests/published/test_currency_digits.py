"""Currency decimals against ISO 4217 (List One, published 2026-01-01) and amounts in words of CLDR (47 and 49)."""

import babel.numbers
import pytest

from ledger.errors import BadInput
from ledger.money import Currency, parse_amount, shown

ISO_4217 = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: """
        AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE
        CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD
        HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK
        MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD
        RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH
        USD USN UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG
        """,
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
"""Every code of List One with its decimals, but XAD, which CLDR 47 does not know yet."""

# List One gives these no decimals ("N.A."): metals, drawing rights, bond units, test and "no currency".
NOT_MONEY = "XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX"


@pytest.mark.parametrize("digits", ISO_4217)
def test_every_currency_has_the_decimals_of_iso_4217(digits: int) -> None:
    codes = ISO_4217[digits].split()

    assert {code: Currency.of(code).digits for code in codes} == dict.fromkeys(codes, digits)


def test_the_library_alone_would_not_do() -> None:
    """CLDR 47 gives the Serbian dinar none, CLDR 49 the forint; either release differs from the standard."""
    library = {code: babel.numbers.get_currency_precision(code) for code in ISO_4217[2].split()}

    assert set(library.values()) != {2}


def test_decimals_do_not_change_with_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(babel.numbers, "get_currency_precision", lambda code: 1)

    assert [Currency.of(code).digits for code in ("EUR", "HUF", "JPY", "BHD")] == [2, 2, 0, 3]


@pytest.mark.parametrize("code", NOT_MONEY.split())
def test_codes_that_are_no_money_are_refused(code: str) -> None:
    with pytest.raises(BadInput, match=code):
        Currency.of(code)


@pytest.mark.parametrize("code", ["EURO", "", "€", "ZZZ", "EU", "\x1b[31m"])
def test_unknown_codes_are_refused_with_a_sentence(code: str) -> None:
    with pytest.raises(BadInput, match="is not a currency code") as refusal:
        Currency.of(code)

    assert refusal.value.field == "currency"
    assert str(refusal.value).isprintable()


def test_a_code_may_be_typed_in_small_letters() -> None:
    assert Currency.of(" eur ") == Currency("EUR", 2)


@pytest.mark.parametrize(
    ("locale", "code", "minor", "words"),
    [
        ("en_NZ", "NZD", -123456789, "-$1,234,567.89"),
        ("en_NZ", "EUR", -123456789, "-€1,234,567.89"),
        ("en_US", "USD", -123456789, "-$1,234,567.89"),
        ("de_DE", "EUR", -123456789, "-1.234.567,89\xa0€"),
        ("fr_FR", "EUR", -123456789, "-1\u202f234\u202f567,89\xa0€"),
        ("ja_JP", "JPY", -1234568, "-\uffe51,234,568"),
        ("ar_BH", "BHD", -1234567891, "\u200f-1,234,567.891\xa0د.ب.\u200f"),
        ("en_IN", "INR", -123456789, "-₹12,34,567.89"),
        ("pt_BR", "BRL", -123456789, "-R$\xa01.234.567,89"),
    ],
)
def test_amounts_are_shown_as_cldr_writes_them(locale: str, code: str, minor: int, words: str) -> None:
    assert shown(minor, Currency.of(code), locale) == words


def test_a_swiss_amount_is_read_back_as_it_is_shown() -> None:
    """Babel 2.18 (CLDR 47) parts the thousands with U+2019, Babel 2.19 does not part them."""
    words = shown(-123456789, Currency.of("CHF"), "de_CH")

    assert words.replace("\u2019", "") == "CHF-1234567.89"
    assert parse_amount(words, Currency.of("CHF")) == -123456789


def test_an_amount_keeps_its_iso_decimals_where_cldr_would_drop_them() -> None:
    assert shown(450, Currency.of("RSD"), "en_US") == "RSD\xa04.50"


@pytest.mark.parametrize("locale", ["en_US", "de_DE", "fr_FR", "ja_JP"])
def test_nought_never_carries_a_minus(locale: str) -> None:
    assert "-" not in shown(0, Currency.of("EUR"), locale)

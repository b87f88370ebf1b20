"""Reading, writing, rounding and sharing of amounts."""

import os
import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import ledger
from ledger.errors import Ambiguous, BadInput, Refused
from ledger.money import (
    LARGEST_AMOUNT,
    Currency,
    DecimalSign,
    amount_text,
    as_decimal,
    largest_remainder,
    parse_amount,
    round_half_even,
)
from ledger.text import show

EUR = Currency("EUR", 2)
JPY = Currency("JPY", 0)
BHD = Currency("BHD", 3)

amounts = st.integers(-LARGEST_AMOUNT, LARGEST_AMOUNT)
currencies = st.sampled_from([EUR, JPY, BHD, Currency("CLF", 4)])
weights = st.lists(st.integers(0, 10**15), min_size=1, max_size=30).filter(any)


@pytest.mark.parametrize(
    ("typed", "cents"),
    [
        ("4.50", 450),
        ("4,50", 450),
        ("4.5", 450),
        ("4", 400),
        (" 24.00 ", 2400),
        ("007", 700),
        ("1 234,56", 123456),
        ("1\u00a0234,56", 123456),
        ("1\u202f234,56", 123456),
        ("1\u2009234", 123400),
        ("1'234.50", 123450),
        ("1\u2019234.50", 123450),
        ("1,234.56", 123456),
        ("1.234,56", 123456),
        ("1.234.567", 123456700),
        ("1,234,567.8", 123456780),
        ("12,50 €", 1250),
        ("€12.50", 1250),
        ("EUR 4.50", 450),
        ("4.50eur", 450),
        ("(5.00)", -500),
        ("(€5.00)", -500),
        ("-5", -500),
        ("\u22125,00", -500),
        ("-€5.00", -500),
        ("€-5.00", -500),
        ("-0.00", 0),
    ],
)
def test_amounts_are_read_as_people_write_them(typed: str, cents: int) -> None:
    assert parse_amount(typed, EUR) == cents


@pytest.mark.parametrize(
    "typed",
    [
        "",
        " ",
        "nan",
        "Infinity",
        "1e5",
        "1_000",
        "0x10",
        "5-",
        "+5",
        "--5",
        "(-5)",
        "(5",
        ".5",
        "5.",
        "€ 9.\u2013",
        "4.50.00",
        "1,23.45",
        "12,34,567",
        "1 234'567",
        "1.234 567",
        "12 50",
        "1..50",
        "4.50 4.50",
        "EUR 4.50 €",
        "four",
        "\u0664\u066b\u0665\u0660",
        "\uff14.50",
        "4.50\n4.50",
        "12.50\x1b[31m",
        "1" * 5000,
        "0" * 5000,
    ],
)
def test_what_is_not_plainly_an_amount_is_refused(typed: str) -> None:
    with pytest.raises(BadInput) as refusal:
        parse_amount(typed, EUR)

    assert refusal.value.field == "amount"
    assert show(refusal.value.sentence) == refusal.value.sentence
    assert len(refusal.value.sentence) < 120


@pytest.mark.parametrize("typed", ["1.234", "1,234", "12.345", "-1,234", "€ 1.234"])
def test_three_figures_after_one_sign_are_never_guessed(typed: str) -> None:
    with pytest.raises(Ambiguous) as refusal:
        parse_amount(typed, EUR)

    [choice] = refusal.value.choices
    assert parse_amount(choice, EUR) in (123400, 1234500)


def test_an_ambiguous_amount_offers_each_reading_the_currency_can_hold() -> None:
    with pytest.raises(Ambiguous) as refusal:
        parse_amount("1,250", BHD)

    assert refusal.value.choices == ("1250.000", "1.250")


def test_a_currency_of_three_decimals_reads_what_the_program_writes() -> None:
    assert parse_amount("1.250", BHD) == 1250
    assert parse_amount("0,250", BHD) == 250
    assert parse_amount("1,234.567", BHD) == 1234567


def test_a_currency_without_decimals_reads_thousands_and_refuses_decimals() -> None:
    assert parse_amount("1.234", JPY) == parse_amount("1,234", JPY) == 1234
    with pytest.raises(BadInput, match="decimals"):
        parse_amount("4.50", JPY)


@pytest.mark.parametrize(
    ("typed", "sign", "cents"), [("1.234", ",", 123400), ("1,234", ".", 123400), ("12,5", ",", 1250)]
)
def test_a_known_decimal_sign_settles_what_is_ambiguous(typed: str, sign: DecimalSign, cents: int) -> None:
    assert parse_amount(typed, EUR, decimal_sign=sign) == cents


@pytest.mark.parametrize(("typed", "sign"), [("12.50", ","), ("12,50", "."), ("1.234", "."), ("1,234", ",")])
def test_a_known_decimal_sign_refuses_the_other_one(typed: str, sign: DecimalSign) -> None:
    with pytest.raises(BadInput):
        parse_amount(typed, EUR, decimal_sign=sign)


@pytest.mark.parametrize("typed", ["4.505", "0.001", "1,234.567", "1234,5678"])
def test_too_many_decimals_are_refused(typed: str) -> None:
    with pytest.raises(Refused):
        parse_amount(typed, EUR)


@pytest.mark.parametrize("typed", ["USD 3.00", "$3", "3 £", "3.00 gbp"])
def test_an_amount_in_another_currency_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="another currency"):
        parse_amount(typed, EUR)


def test_the_largest_amount_is_read_and_one_more_is_refused() -> None:
    assert parse_amount("1 000 000 000.00", EUR) == LARGEST_AMOUNT
    assert parse_amount("-1000000000.00", EUR) == -LARGEST_AMOUNT
    with pytest.raises(BadInput, match="more than"):
        parse_amount("1000000000.01", EUR)


def test_the_field_of_a_refusal_is_the_callers() -> None:
    with pytest.raises(BadInput) as refusal:
        parse_amount("x", EUR, field="price_each")

    assert refusal.value.field == "price_each"


@given(amounts, currencies)
def test_what_is_written_is_read_back(minor: int, currency: Currency) -> None:
    assert parse_amount(amount_text(minor, currency), currency, decimal_sign=".") == minor


@given(amounts, st.sampled_from([EUR, JPY, BHD]))
def test_what_is_written_in_a_usual_currency_needs_no_hint(minor: int, currency: Currency) -> None:
    assert parse_amount(amount_text(minor, currency), currency) == minor


@given(st.text(max_size=50), currencies)
def test_any_text_is_either_read_or_refused(typed: str, currency: Currency) -> None:
    try:
        minor = parse_amount(typed, currency)
    except Refused as refused:
        sentence = refused.sentence
    else:
        sentence = amount_text(minor, currency)
        assert abs(minor) <= LARGEST_AMOUNT
    assert show(sentence) == sentence


@pytest.mark.parametrize(
    ("minor", "currency", "written"),
    [
        (2400, EUR, "24.00"),
        (-5, EUR, "-0.05"),
        (0, EUR, "0.00"),
        (1234, JPY, "1234"),
        (0, JPY, "0"),
        (1, BHD, "0.001"),
        (10**40 + 1, EUR, "1" + "0" * 37 + "0.01"),
    ],
)
def test_files_get_plain_decimals(minor: int, currency: Currency, written: str) -> None:
    assert amount_text(minor, currency) == written


def test_a_decimal_is_exact_and_keeps_its_noughts() -> None:
    assert as_decimal(2400, EUR) == Decimal(24)
    assert str(as_decimal(2400, EUR)) == "24.00"
    assert as_decimal(10**40 + 1, EUR) == Decimal("1" + "0" * 37 + "0.01")
    assert not as_decimal(0, EUR).is_signed()


@given(st.integers(-(10**18), 10**18), weights)
def test_shares_sum_to_the_total_and_stay_within_one_of_their_quota(total: int, parts: list[int]) -> None:
    shares = largest_remainder(total, parts)

    assert sum(shares) == total
    for share, part in zip(shares, parts, strict=True):
        assert abs(share - Fraction(total * part, sum(parts))) < 1


@given(st.integers(0, 10**9), st.integers(1, 40), st.integers(1, 10**6))
def test_equal_weights_share_equally_first_in_order_first(total: int, count: int, weight: int) -> None:
    floor, rest = divmod(total, count)

    assert largest_remainder(total, [weight] * count) == (floor + 1,) * rest + (floor,) * (count - rest)


@given(st.integers(-(10**9), 10**9), weights, st.integers(1, 1000))
def test_scaling_all_weights_changes_nothing(total: int, parts: list[int], factor: int) -> None:
    assert largest_remainder(total, [part * factor for part in parts]) == largest_remainder(total, parts)


@given(st.integers(0, 10**9), weights)
def test_a_credit_is_shared_like_the_charge_it_undoes(total: int, parts: list[int]) -> None:
    charge = largest_remainder(total, parts)

    assert largest_remainder(-total, parts) == tuple(-share for share in charge)


def test_a_weight_of_nought_gets_nothing() -> None:
    assert largest_remainder(5, (0, 3, 0, 3)) == (0, 3, 0, 2)


def test_nothing_to_share_needs_no_weight() -> None:
    assert largest_remainder(0, (0, 0)) == (0, 0)
    assert largest_remainder(0, ()) == ()


@pytest.mark.parametrize(("total", "parts"), [(1, ()), (1, (0, 0)), (5, (3, -1))])
def test_sharing_on_impossible_weights_is_a_bug_and_not_a_refusal(total: int, parts: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="weight"):
        largest_remainder(total, parts)


@given(st.integers(-(10**30), 10**30), st.integers(-(10**12), 10**12).filter(bool))
def test_rounding_agrees_with_exact_fractions(numerator: int, denominator: int) -> None:
    # Python rounds a Fraction half to even.
    assert round_half_even(numerator, denominator) == round(Fraction(numerator, denominator))


def loads_babel(statement: str) -> bool:
    root = str(Path(ledger.__file__).parents[1])
    check = f"import sys\n{statement}\nprint('babel' in sys.modules)"
    run = subprocess.run(
        [sys.executable, "-c", check],
        capture_output=True,
        check=True,
        text=True,
        env={**os.environ, "PYTHONPATH": root},
    )
    return run.stdout.strip() == "True"


def test_amounts_are_read_and_written_without_loading_babel() -> None:
    use = "from ledger.money import *; e = Currency('EUR', 2); amount_text(parse_amount('4.50', e), e)"

    assert not loads_babel(use)
    assert loads_babel("from ledger.money import *; Currency.of('EUR')")

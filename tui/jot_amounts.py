"""Amounts of money in a jot line, with the sign or the code of a currency before or after them.

Strict: an amount that may mean two things is refused.
"""

from __future__ import annotations

import re

from ledger.errors import Ambiguous, BadInput
from ledger.money import Currency, amount_text, parse_amount
from ledger.text import quoted
from ledger.wording import say
from tui.jot_words import Setting, Words


def has_digit(word: str) -> bool:
    return any(letter.isdigit() for letter in word)


def is_currency(word: str, own: Currency) -> bool:
    """Whether a word after an amount is the code of a currency: the ledger's own however it is typed, another one in
    capitals, so that a supplier called Top or All is none."""
    if word.upper() == own.code:
        return True
    if len(word) != 3 or not (word.isascii() and word.isupper()):
        return False
    try:
        Currency.of(word)
    except BadInput:
        return False
    return True


def take_amount(words: Words, setting: Setting, what: str) -> int:
    """Step over an amount, its currency sign or code before or after it included."""
    start = words.at
    word = words.take()
    if not word or word == ",":
        raise BadInput(say("How much {what}? Write an amount, such as 24.00.", what=what), field="amount")
    mark_before = not has_digit(word) and has_digit(words.peek())
    mark_after = words.peek() in ("€", "£", "$", "¥") or is_currency(words.peek(), setting.currency)
    if mark_before or mark_after:
        word = f"{word} {words.take()}"
    try:
        value = parse_amount(word, setting.currency)
    except Ambiguous as refusal:
        meant = (*refusal.choices, *_without_noughts(word, setting.currency))
        lines = tuple(words.replaced(start, words.at, choice) for choice in meant)
        raise Ambiguous(refusal.sentence, refusal.field, refusal.facts, choices=lines) from None
    if value < 0:
        raise BadInput(
            say("{word} is less than nothing; write the amount without a minus.", word=quoted(word)), field="amount"
        )
    return value


def _without_noughts(typed: str, currency: Currency) -> tuple[str, ...]:
    """'3,50' of '3,500', where the noughts that are too many for a decimal say nothing; none for another amount."""
    cut = re.fullmatch(rf"(.*\d[.,]\d{{{currency.digits}}})0+(\D*)", typed) if currency.digits else None
    if cut is None:
        return ()
    return (amount_text(parse_amount(cut[1] + cut[2], currency), currency),)

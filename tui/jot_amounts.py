"""Amounts of money in a jot line, with the sign or the code of a currency before or after them.

Strict: an amount that may mean two things is refused.
"""

from __future__ import annotations

from ledger.errors import BadInput
from ledger.money import Currency, parse_amount
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
    word = words.take()
    if not word or word == ",":
        raise BadInput(say("How much {what}? Write an amount, such as 24.00.", what=what), field="amount")
    mark_before = not has_digit(word) and has_digit(words.peek())
    mark_after = words.peek() in ("€", "£", "$", "¥") or is_currency(words.peek(), setting.currency)
    if mark_before or mark_after:
        word = f"{word} {words.take()}"
    value = parse_amount(word, setting.currency)
    if value < 0:
        raise BadInput(
            say("{word} is less than nothing; write the amount without a minus.", word=quoted(word)), field="amount"
        )
    return value

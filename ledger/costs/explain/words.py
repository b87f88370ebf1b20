"""Explanations in sentences. Amounts are written as the ledger's currency has them; nothing is reckoned here."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ledger.costs.explain.answers import Answer, Line, LotSide, Versus
from ledger.money import Currency, amount_text, round_half_even, said
from ledger.stock.words import listed
from ledger.text import count_words

MOST_NAMED = 4
HUNDRED = 100
CAUSES = {
    "came with": "what they cost when they came",
    "spent": "what was spent on each",
    "losses": "losses",
}


def in_words(found: Answer, currency: Currency) -> str:
    """A figure with its largest parts, in a sentence or two."""
    if not found.lines:
        return f"{found.about[0].upper()}{found.about[1:]}: {found.figure} {said(found.shown, currency)}."
    figure = f"{found.about[0].upper()}{found.about[1:]}: {found.figure} {said(found.shown, currency)}"
    if found.number is not None:
        figure += f" ({said(found.in_all, currency)} for {found.number} reared)"
    largest = sorted(found.lines, key=lambda line: -abs(line.exact))
    named = [f"{line.name} {amount_text(_amount(found, line), currency)}" for line in largest[:MOST_NAMED]]
    more = len(largest) - len(named)
    if more:
        rest = sum(_amount(found, line) for line in largest[MOST_NAMED:])
        named.append(f"{count_words(more, 'other', 'others')} {amount_text(rest, currency)}")
    return f"{figure}: {listed(named, 'and')}."


def why_dearer(found: Versus, currency: Currency) -> tuple[str, ...]:
    """Why one lot is dearer than another, in sentences: the figures, each cause, the largest categories."""
    one, other = found.one, found.other
    if found.exact == 0:
        return (f"A reared adult of {one.lot} cost as much as one of {other.lot}: {said(one.shown, currency)}.",)
    dear, cheap = (one, other) if found.exact > 0 else (other, one)
    sign = 1 if found.exact > 0 else -1
    figures = f"A reared adult of {dear.lot} cost {said(dear.shown, currency)}, one of {cheap.lot} "
    # Between cheap animals every cause would be nothing or one coin, so they are said for a hundred.
    fine = abs(found.shown) < HUNDRED
    more = said(sign * (found.for_a_hundred if fine else found.shown), currency)
    sentences = [f"{figures}{said(cheap.shown, currency)}: {more} more{' on a hundred' if fine else ''}."]
    for name, words in CAUSES.items():
        lines = [line for line in found.causes if line.kind == name]
        amount = sign * sum(line.in_all if fine else line.shown for line in lines)
        exact = sign * sum((line.exact for line in lines), Fraction(0))
        if exact:
            because = _because(name, lines, sign, dear, cheap, currency)
            sentences.append(f"{_moved(amount, exact, currency)} by {words}{because}.")
    return tuple(sentences)


def _moved(amount: int, exact: Fraction, currency: Currency) -> str:
    way = "dearer" if exact > 0 else "cheaper"
    size = amount_text(abs(amount), currency) if amount else f"less than {amount_text(1, currency)}"
    return f"{size} {way}"


def _because(name: str, lines: Sequence[Line], sign: int, dear: LotSide, cheap: LotSide, currency: Currency) -> str:
    if name == "losses":
        return (
            f": of {dear.lot} {dear.reared} were reared and {dear.lost} lost, of {cheap.lot} {cheap.reared} and "
            f"{cheap.lost}; a reared adult carries the cost of {_times(dear.bears)} and {_times(cheap.bears)}"
        )
    left, right = (dear.came_with, cheap.came_with) if name == "came with" else (dear.spent, cheap.spent)
    said_so = f": {_cost(left, currency)} against {_cost(right, currency)} for each that was reared or lost"
    largest = max(lines, key=lambda line: sign * line.exact)
    return said_so + (f", most of it {largest.categories[0][0]}" if sign * largest.exact > 0 else "")


def _cost(exact: Fraction, currency: Currency) -> str:
    return amount_text(round_half_even(exact.numerator, exact.denominator), currency)


def _times(exact: Fraction) -> str:
    return f"{float(exact):.2f}"


def _amount(found: Answer, line: Line) -> int:
    return line.shown if found.number is None else line.in_all

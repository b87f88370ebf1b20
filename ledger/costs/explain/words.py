"""Explanations in sentences. Amounts are written as the ledger's currency has them; nothing is reckoned here."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ledger.costs.explain.answers import Answer, Line, LotSide, Versus
from ledger.money import Currency, amount_text, round_half_even, said
from ledger.wording import capital, counted, listed, say, strung, word

MOST_NAMED = 4
HUNDRED = 100
CAUSES = {
    "came with": say("what they cost when they came"),
    "spent": say("what was spent on each"),
    "losses": say("losses"),
}


def figure_words(found: Answer, currency: Currency) -> str:
    """A figure alone, in a sentence."""
    figure = say(
        "{about}: {figure} {shown}", about=capital(found.about), figure=found.figure, shown=said(found.shown, currency)
    )
    if found.number is not None:
        figure += say(" ({in_all} for {number} reared)", in_all=said(found.in_all, currency), number=found.number)
    return say("{figure}.", figure=figure)


def in_words(found: Answer, currency: Currency) -> str:
    """A figure with its largest parts, in a sentence or two."""
    if not found.lines:
        return figure_words(found, currency)
    figure = say(
        "{about}: {figure} {shown}", about=capital(found.about), figure=found.figure, shown=said(found.shown, currency)
    )
    if found.number is not None:
        figure += say(" ({in_all} for {number} reared)", in_all=said(found.in_all, currency), number=found.number)
    largest = sorted(found.lines, key=lambda line: -abs(line.exact))
    named = [strung((line.name, amount_text(_amount(found, line), currency))) for line in largest[:MOST_NAMED]]
    more = len(largest) - len(named)
    if more:
        rest = sum(_amount(found, line) for line in largest[MOST_NAMED:])
        named.append(counted(more, "{n} other {amount}", "{n} others {amount}", amount=amount_text(rest, currency)))
    return say("{figure}: {named}.", figure=figure, named=listed(named, "and"))


def why_dearer(found: Versus, currency: Currency) -> tuple[str, ...]:
    """Why one lot is dearer than another, in sentences: the figures, each cause, the largest categories."""
    one, other = found.one, found.other
    if found.exact == 0:
        return (
            say(
                "A reared adult of {lot} cost as much as one of {other}: {cost}.",
                lot=one.lot,
                other=other.lot,
                cost=said(one.shown, currency),
            ),
        )
    dear, cheap = (one, other) if found.exact > 0 else (other, one)
    sign = 1 if found.exact > 0 else -1

    # Between cheap animals every cause would be nothing or one coin, so they are said for a hundred.
    fine = abs(found.shown) < HUNDRED
    more = said(sign * (found.for_a_hundred if fine else found.shown), currency)
    lots = {"dear": dear.lot, "cheap": cheap.lot}
    costs = {"dear_cost": said(dear.shown, currency), "cheap_cost": said(cheap.shown, currency), "more": more}
    sentences = [
        say(
            "A reared adult of {dear} cost {dear_cost}, one of {cheap} {cheap_cost}: {more} more on a hundred.",
            **lots,
            **costs,
        )
        if fine
        else say(
            "A reared adult of {dear} cost {dear_cost}, one of {cheap} {cheap_cost}: {more} more.", **lots, **costs
        )
    ]
    for name, words in CAUSES.items():
        lines = [line for line in found.causes if line.kind == name]
        amount = sign * sum(line.in_all if fine else line.shown for line in lines)
        exact = sign * sum((line.exact for line in lines), Fraction(0))
        if exact:
            because = _because(name, lines, sign, dear, cheap, currency)
            sentences.append(
                say("{moved} by {cause}{because}.", moved=_moved(amount, exact, currency), cause=words, because=because)
            )
    return tuple(sentences)


def _moved(amount: int, exact: Fraction, currency: Currency) -> str:

    size = amount_text(abs(amount), currency) if amount else say("less than {amount}", amount=amount_text(1, currency))
    return say("{amount} dearer", amount=size) if exact > 0 else say("{amount} cheaper", amount=size)


def _because(name: str, lines: Sequence[Line], sign: int, dear: LotSide, cheap: LotSide, currency: Currency) -> str:
    if name == "losses":
        return say(
            ": of {dear} {dear_reared} were reared and {dear_lost} lost, of {cheap} {cheap_reared} and {cheap_lost}; a "
            "reared adult carries the cost of {dear_times} and {cheap_times}",
            dear=dear.lot,
            dear_reared=dear.reared,
            dear_lost=dear.lost,
            cheap=cheap.lot,
            cheap_reared=cheap.reared,
            cheap_lost=cheap.lost,
            dear_times=_times(dear.bears),
            cheap_times=_times(cheap.bears),
        )
    left, right = (dear.came_with, cheap.came_with) if name == "came with" else (dear.spent, cheap.spent)
    said_so = say(
        ": {cost} against {other} for each that was reared or lost",
        cost=_cost(left, currency),
        other=_cost(right, currency),
    )
    largest = max(lines, key=lambda line: sign * line.exact)
    return said_so + (
        say(", most of it {category}", category=word(largest.categories[0][0])) if sign * largest.exact > 0 else ""
    )


def _cost(exact: Fraction, currency: Currency) -> str:
    return amount_text(round_half_even(exact.numerator, exact.denominator), currency)


def _times(exact: Fraction) -> str:
    return f"{float(exact):.2f}"


def _amount(found: Answer, line: Line) -> int:
    return line.shown if found.number is None else line.in_all

"""The page of one lot's or one species' rearing as figures, pictures and lines of text. Knows no widget."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.days import DayRange
from ledger.errors import Refused
from ledger.money import Currency, amount_text, round_half_even
from ledger.rearing.report import ASSUMES
from ledger.wording import counted, say, strung, word
from tui.charts import Rung, Signs, Step
from tui.drawn import Curve, Part, Parts, Picture, lines_of
from tui.look import each, percent
from tui.places.page import hanging

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from ledger.rearing.band import ReachedBy
    from ledger.rearing.report import CostPart, RearingRow


@dataclass(frozen=True, slots=True)
class Found:
    """What the page shows."""

    row: RearingRow
    curve: tuple[Step, ...] = ()
    """Share that has reached the reared stage, by days on the clock."""
    words: tuple[str, ...] = ()
    """What stands under the figures: what they assume, leave open and cannot say."""
    until: int = 0
    """Last day drawn: today on the clock of a lot."""
    about: str = ""
    """Which lots the curve is of, when it is not one."""


def found_of(ledger: Ledger, lot: str, species: str, on: dt.date | None = None) -> Found:
    """All of it for one lot, or for a whole species when no lot is named, up to a day (else today).

    Raises:
        NotFound: no such lot or species.
    """
    return _of_lot(ledger, lot, on) if lot else _of_species(ledger, species, on)


def _of_lot(ledger: Ledger, lot: str, on: dt.date | None) -> Found:
    (row,) = ledger.rearing(lot=lot, on=on)
    (ref,) = ledger.lots(lot=row.lot, empty=True)
    age = ((on or ledger.today) - DayRange(ref.started_from, ref.started_on).midpoint).days
    try:
        found = ledger.curve(lot, on)
        said = ledger.survival_of_lot(lot, on).words
    except Refused:
        # A lot without animals before the reared stage has no curve; its row says why.
        return Found(row)
    # The first sentence is the figure, which stands above the curve already. Where none got there, a flat line on the
    # floor would read as a share of nought.
    drawn = () if row.survival is None else _steps(found.drawn)
    return Found(row, drawn, said[1:], max(age, found.days[-1]))


def _of_species(ledger: Ledger, species: str, on: dt.date | None) -> Found:
    """A whole species, with the curve of its lots together if they have one."""
    from ledger.rearing.species_curve import species_curve

    row = next((row for row in ledger.rearing(species, on=on) if not row.lot), None)
    if row is None:
        raise Refused(
            say("{species} has no lots yet, so there is nothing to show of its rearing.", species=species), "species"
        )
    try:
        said = ledger.survival_of_species(species, on).words
    except Refused as refusal:
        said = (refusal.sentence,)
    try:
        found = ledger.ask(species_curve, species, on or ledger.today)
    except Refused as refusal:
        return Found(row, words=tuple(dict.fromkeys((refusal.sentence, *said))))
    about = counted(
        found.lots,
        "{n} lot counted from {counted_from}",
        "{n} lots counted from {counted_from}",
        counted_from=word(found.counted_from),
    )
    return Found(row, _steps(found.drawn), said, found.drawn[-1].day, about)


def rearing_picture(found: Found, currency: Currency) -> Picture:
    """The curve, and the cost of one reared adult taken apart."""
    row = found.row
    drawn: list[Part] = []
    if found.curve:
        of = say(" ({about})", about=found.about) if found.about else ""
        title = say("Share that has reached the reared stage, by days since the lot began{of}", of=of)
        drawn.append(Curve(title, found.curve, float(found.until)))
    if row.cost_per_reared is not None:
        for title, of_it in (
            (say("By category"), row.by_category),
            (say("By the stage at which it arose"), row.by_stage),
        ):
            if of_it:
                drawn.append(_ladder(title, of_it, currency))
    return Picture(say("Rearing {lot}", lot=row.lot or row.species), tuple(drawn), (*_head(row), *found.words))


def _head(row: RearingRow) -> list[str]:
    """What became of those that entered, in words."""
    lines = [
        say(
            "{entered} entered: {reached} reared, {lost} lost, {left_early} left young, {pending} still rearing",
            entered=row.entered,
            reached=row.reached,
            lost=row.lost,
            left_early=row.left_early,
            pending=row.pending,
        )
    ]
    if row.survival is not None and row.low is not None and row.high is not None and row.n_eff is not None:
        lines.append(
            say(
                "Share that is reared: {survival}, between {low} and {high} (worth {n_eff} animals followed to "
                "the end)",
                survival=percent(row.survival),
                low=percent(row.low),
                high=percent(row.high),
                n_eff=f"{row.n_eff:.0f}",
            )
        )
    if row.why:
        lines.append(say("No survival figure: {why}.", why=row.why))
    return lines


def rearing_lines(found: Found, picture: Picture, currency: Currency, width: int, signs: Signs) -> list[str]:
    """The whole page as lines of text."""
    row = found.row
    lines = _head(row)
    for part in picture.parts:
        if isinstance(part, Curve):
            lines += ["", *hanging([part.title], width), *lines_of(part, width, signs)[1:]]
    lines += hanging((say("· {sentence}", sentence=sentence) for sentence in found.words), width)
    ladders = [part for part in picture.parts if isinstance(part, Parts)]
    lines += ["", *_cost_lines(row, ladders, currency, width, signs)]
    said = strung(found.words, " ")
    lines += hanging(
        (say("· {note}", note=note) for note in row.notes if note != ASSUMES or ASSUMES not in said), width
    )
    return lines


def _steps(drawn: Sequence[ReachedBy]) -> tuple[Step, ...]:
    return tuple(Step(one.day, one.share, one.low, one.high) for one in drawn)


def _cost_lines(row: RearingRow, ladders: Sequence[Parts], currency: Currency, width: int, signs: Signs) -> list[str]:
    if row.cost_shown is None:
        return [say("There is no cost per reared adult yet.")]
    lines = [
        say(
            "One reared adult cost {cost_per_reared} {code} ({cost_reached} reared)",
            cost_per_reared=amount_text(row.cost_shown, currency),
            code=currency.code,
            cost_reached=row.cost_reached,
        )
    ]
    if row.so_far:
        lines[0] += say(", {so_far}", so_far=row.so_far)
    for part in ladders:
        lines += ["", *lines_of(part, width, signs)]
    lines.append("")
    if row.cost_without_losses is not None and row.cost_per_reared is not None:
        lines += hanging(
            [
                say(
                    "Same spending, no losses: {cost_without_losses} {code}, which is {moved} for the reared and "
                    "{lost} written off for the lost, over {reached} reared and {number_lost} lost",
                    cost_without_losses=each(row.cost_without_losses, currency),
                    code=currency.code,
                    moved=each(row.cost_per_reared * row.cost_reached, currency),
                    lost=each(row.cost_lost, currency),
                    reached=row.reached,
                    number_lost=row.lost,
                )
            ],
            width,
        )
    if row.naive_cost is not None:
        lines.append(
            say(
                "A quick sum, all that was spent divided by the reared: {naive_cost} {code}. It charges the "
                "reared with the young that were sold, and with what was spent on other species too.",
                naive_cost=each(row.naive_cost, currency),
                code=currency.code,
            )
        )
    return lines


def _ladder(title: str, found: Sequence[CostPart], currency: Currency) -> Parts:
    """Parts drawn in thousandths of a minor unit, so that small ones keep their share."""
    rungs = tuple(
        Rung(
            word(part.name),
            round_half_even(part.each.numerator * 1000, part.each.denominator),
            amount_text(part.shown, currency),
        )
        for part in found
    )
    whole = sum(part.shown for part in found)
    total = Rung(say("one reared adult"), sum(rung.amount for rung in rungs), amount_text(whole, currency))
    return Parts(title, rungs, total)

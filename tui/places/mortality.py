"""What the losses of a year cost, species by species: the price of mortality, and the part beyond what was expected."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Static

from ledger.errors import Refused
from ledger.money import Currency, amount_text, round_half_even
from ledger.rearing.mortality import SAYS
from ledger.records.periods import year_of
from ledger.wording import say, strung
from tui.actions import Act
from tui.charts import Bar, Signs, beside, fit
from tui.drawn import Bars, Picture, blocks, lines_of
from tui.look import each
from tui.places.leaf import leafed, year_name
from tui.places.page import BACK, ReckonedPage, hanging
from tui.places.pictured import PICTURE, Pictured
from tui.plain import words
from tui.tongue import tell

if TYPE_CHECKING:
    from ledger.rearing.mortality import MortalityRow

WIDE = 90
"""From here on there is room between the columns."""
WIDEST = 104
"""From here on the headings of two lines stand well apart."""
LEAST = 70
"""Below this the columns have no room, and each species is said in sentences."""
NARROW = 75
"""The least that parts the headings of the amounts."""

HEADS = (
    say("reared{as_heading}", as_heading=""),
    say("lost{as_heading}", as_heading=""),
    say("expected reared"),
    say("had none died"),
    say("at the expected"),
    say("as it was"),
    say("losses cost"),
    say("beyond expected"),
)
"""Of its columns; the last word of each stands below the others."""


class MortalityPage(Pictured[None], ReckonedPage):
    """The price of mortality, year by year."""

    WHERE = "mortality"
    WAITING = ""
    HELP = say(
        "What animals that were lost young took with them, for each species: one reared adult had none "
        "died, had as many died as expected, and as it was. Beyond expected is what losses above the "
        "expected ones cost; below nought when more were reared than expected."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("earlier", "left", say("leaf back"), say("The year before.")),
        Act("later", "right", say("leaf on"), say("The year after.")),
        PICTURE,
        BACK,
    )

    def __init__(self) -> None:
        super().__init__()
        self._year = 0

    def title_words(self) -> str:
        return say("What losses cost")

    def opened(self) -> None:
        self._year = self._year or self.desk.ledger.ask(year_of, self.desk.ledger.today)
        super().opened()

    def read_anew(self) -> None:
        self._title(say("reckoning ..."))
        super().read_anew()

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.mortality, self._year)

    def _title(self, more: str = "") -> None:
        title = say("‹ {year} ›  What losses cost", year=year_name(self.desk.ledger, self._year)) + (
            say(": {more}", more=more) if more else ""
        )
        self.query_one("#page-title", Static).update(words(title, "bold"))

    def told(self, answer: object) -> None:
        rows: tuple[MortalityRow, ...] = answer  # type: ignore[assignment]
        self._title()
        currency = self.desk.ledger.currency
        self.picture = mortality_picture(self._year, rows, currency) if rows else None
        self.show(mortality_lines(self._year, rows, currency, self.picture, self.width, self.desk.signs))

    def refused(self, refusal: Refused) -> None:
        self.picture = None
        self._title()
        super().refused(refusal)

    def action_earlier(self) -> None:
        """The year before."""
        self._leaf(-1)

    def action_later(self) -> None:
        """The year after."""
        self._leaf(1)

    def _leaf(self, step: int) -> None:
        before, self._year = self._year, leafed(self.desk, self._year, step)
        if self._year != before:
            self.read_anew()


def mortality_picture(year: int, rows: Sequence[MortalityRow], currency: Currency) -> Picture:
    """What the losses of each species cost in all, and one reared adult with and without them."""
    scale = 10**currency.digits
    in_all = tuple(Bar(row.species, float(row.price) / scale, each(row.price, currency)) for row in rows)
    told = [row for row in rows if row.actual is not None and row.without_losses is not None]
    adults = tuple(
        Bar(
            row.species,
            float(row.actual or 0) / scale,
            each(row.actual, currency),
            float(row.without_losses or 0) / scale,
            float(row.actual or 0) / scale,
            after=say("had none died {without_losses}", without_losses=each(row.without_losses, currency)),
        )
        for row in told
    )
    drawn = [Bars(say("What the losses cost in all, {code}", code=currency.code), in_all)]
    if adults:
        title = say("One reared adult, {code}: the dot as it was, heavy the part of the losses", code=currency.code)
        drawn.append(Bars(title, adults))
    return Picture(say("Price of mortality {year}", year=year), tuple(drawn), SAYS)


def mortality_lines(
    year: int,
    rows: Sequence[MortalityRow],
    currency: Currency,
    picture: Picture | None,
    width: int,
    signs: Signs,
) -> list[str]:
    """The whole page: the table, then the pictures."""
    if picture is None:
        none = say(
            "No lot finished rearing in {year}. A lot finishes when nothing of it is rearing any more.", year=year
        )
        first = say("Mark deaths and stages as they come, in 8 Round or in a line; what they cost follows from it.")
        return hanging([none, "", first], width)
    if width < LEAST:
        return [
            *hanging([line for row in rows for line in _in_sentences(row, currency)], width),
            *(
                line
                for part in picture.parts
                for line in ("", *hanging([part.title], width), *lines_of(part, width, signs)[1:])
            ),
            "",
            *hanging((strung(("· ", said), "") for said in picture.said), width),
        ]
    # The two counts are short; what is spared there parts the headings of the amounts.
    tight = (7, 6, *(9,) * 6) if width >= NARROW else (8,) * 8
    wide = (12,) * 8 if width >= WIDEST else (9,) * 8 if width >= WIDE else tight

    def line(name: str, cells: Sequence[str]) -> str:
        return fit(name, 8) + "".join(
            beside(cell, figure, signs=signs) for cell, figure in zip(cells, wide, strict=True)
        )

    heads = [tell(head).rpartition(" ") for head in HEADS]
    lines = [
        line("", [above for above, _, _ in heads]),
        line(say("species"), [below for _, _, below in heads]),
    ]
    notes = []
    for row in rows:
        expected = "-" if row.expected_share is None else f"{float(row.expected_share) * 100:.0f} %"
        amounts = [each(one, currency) or "-" for one in (row.without_losses, row.at_expected, row.actual, row.price)]
        beyond = "-" if row.beyond is None else amount_text(_rounded(row.beyond), currency)
        lines.append(line(row.species, [str(row.reared), str(row.lost), expected, *amounts, beyond]))
        if row.why:
            notes.append(say("! {species}: {why}.", species=row.species, why=row.why))
        if row.expected_share is None:
            notes.append(
                say(
                    "· {species}: neither a loss rate nor a planning survival is set, nothing is expected.",
                    species=row.species,
                )
            )
        lots = strung(row.lots, ", ")
        notes.append(
            say("· {species}: lots {lots}", species=row.species, lots=lots)
            if row.lots
            else say("· {species}: no lot", species=row.species)
        )
    if len(rows) > 1:
        known = [row for row in rows if row.beyond is not None]
        lines.append(
            line(
                say("together"),
                [
                    str(sum(row.reared for row in rows)),
                    str(sum(row.lost for row in rows)),
                    *[""] * 4,
                    # Of what is shown above them, so that the rows add up to it.
                    amount_text(sum(_rounded(row.price) for row in rows), currency),
                    amount_text(sum(_rounded(row.beyond) for row in known), currency) if known else "-",
                ],
            )
        )
    return [
        *lines,
        "",
        *blocks(picture.parts, width, signs),
        "",
        *hanging(notes, width),
        *hanging((strung(("· ", said), "") for said in picture.said), width),
    ]


def _in_sentences(row: MortalityRow, currency: Currency) -> list[str]:
    """A row of the table where there is no room for one."""
    expected = (
        say(" ({share} % expected)", share=f"{float(row.expected_share) * 100:.0f}")
        if row.expected_share is not None
        else ""
    )
    said = [
        say(
            "{species}: {reared} reared, {lost} lost{expected}",
            species=row.species,
            reared=row.reared,
            lost=row.lost,
            expected=expected,
        ),
        say("  losses cost {price} {code}", price=each(row.price, currency), code=currency.code),
    ]
    if row.beyond is not None:
        said.append(say("  of it {beyond} beyond expected", beyond=amount_text(_rounded(row.beyond), currency)))
    if row.actual is not None and row.without_losses is not None:
        said.append(
            say(
                "  one adult {actual}; had none died {without}",
                actual=each(row.actual, currency),
                without=each(row.without_losses, currency),
            )
        )
    return [*said, *([say("! {species}: {why}.", species=row.species, why=row.why)] if row.why else [])]


def _rounded(amount: Fraction | None) -> int:
    return 0 if amount is None else round_half_even(amount.numerator, amount.denominator)

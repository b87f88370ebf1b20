"""The verb about rearing: how many reach adulthood, how surely, and what each one cost."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Mapping
from contextlib import suppress
from typing import TYPE_CHECKING

from ledger.errors import BadInput, Refused
from tui.verbs import answer, drawing, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.ledger import Ledger
    from ledger.money import Currency
    from ledger.rearing.curve import LotCurve
    from ledger.rearing.mortality import MortalityRow
    from ledger.rearing.report import CostPart, RearingRow
    from ledger.rearing.species_curve import SpeciesCurve

    Curves = dict[str, LotCurve | SpeciesCurve]
    """By lot, or by species for its lots together."""

CURVE = ("days", "states", "prob", "se", "reached_by", "lower", "upper", "at_risk", "counts", "warnings")
DRAWN = {"days": "day", "reached_by": "share", "lower": "low", "upper": "high"}
"""What is drawn, line and band; all that there is of a species' lots together: each lot carries the rest itself."""


def add(top: Parser) -> None:
    """Add this verb."""
    parser = common(
        top.verb("rearing", "Show survival, and what one reared adult cost, for each species and lot.", rearing)
    )
    parser.add_argument("which", metavar="LOT|SPECIES", nargs="?", help="one lot or one species only")
    parser.add_argument("--species", metavar="CODE", help="one species only")
    parser.add_argument("--lot", metavar="LOT", help="one lot only")
    with_day(parser, "on", "as it was on that day; else today")
    parser.add_argument("--losses", metavar="YEAR", help="what the losses of a year cost, species by species")
    parser.add_argument("--curve", action="store_true", help="with the curve of survival, day by day")
    drawing.with_picture(parser)


def rearing(args: argparse.Namespace) -> int:
    """The rearing report."""
    _take_which(args)
    if args.species is not None and args.lot is not None:
        raise BadInput("A lot is of one species; leave --species out.", field="species")
    file = drawing.asked(args)
    if args.losses is not None:
        return losses(args)
    if file is not None and args.lot is None and args.species is None:
        raise BadInput("A picture is of one lot or one species; say which.", field="picture")
    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on")
        rows = ledger.rearing(args.species, args.lot, on)
        currency = ledger.currency
        curves = _curves(ledger, rows, on) if args.curve else {}
        if file is not None:
            from tui.rearing_page import found_of, rearing_picture

            drawing.draw(
                file,
                rearing_picture(found_of(ledger, args.lot or "", args.species or "", on), currency),
                drawing.origin(file, ledger, on),
            )
    columns = [*_columns(currency), *(_curve_columns(curves) if args.curve else ())]
    none = "Nothing has been reared here yet."
    answer.write_rows(rows, columns, args.format, none=none, hint="Open a lot: rearledger lot add CODE SPECIES")
    if args.format == "text":
        _write_own_time(rows, currency)
        _write_remarks(rows)
        for name, curve in curves.items():
            _write_curve(name, curve)
    drawing.say_where(file, args.format)
    return 0


def _curves(ledger: Ledger, rows: Sequence[RearingRow], on: dt.date | None) -> Curves:
    """The curves of the rows that have one; a row without says why."""
    from ledger.rearing.species_curve import species_curve

    found: Curves = {}
    for row in rows:
        with suppress(Refused):
            found[_named(row)] = (
                ledger.curve(row.lot, on) if row.lot else ledger.ask(species_curve, row.species, on or ledger.today)
            )
    return found


def _named(row: RearingRow) -> str:
    return row.lot or f"all {row.species}"


def _take_which(args: argparse.Namespace) -> None:
    """`rearing E02` is `rearing --lot E02`; the code of a species is `--species`."""
    if args.which is None:
        return
    if args.lot is not None or args.species is not None:
        raise BadInput("The lot or species is named twice; leave --lot and --species out.", field="lot")
    with to_read(args) as ledger:
        names = ledger.vocabulary()
    code = args.which.strip().upper()
    lots = {lot.upper() for lot in names.stages}
    args.lot, args.species = (None, code) if code in names.species and code not in lots else (args.which, None)


def losses(args: argparse.Namespace) -> int:
    """What mortality cost in a year."""
    if args.lot is not None or args.on is not None or args.curve:
        raise BadInput("The losses are of a year and of species; leave --lot, --on and --curve out.", field="losses")
    from ledger.rearing.mortality import SAYS

    year = typed.year(args.losses)
    file = drawing.asked(args)
    with to_read(args) as ledger:
        whence = drawing.origin(file, ledger)
        rows = ledger.mortality(year, args.species)
        currency = ledger.currency
    if file is not None:
        from tui.places.mortality import mortality_picture

        if not rows:
            raise Refused(f"No lot finished rearing in {year}, so there is nothing to draw.", "picture")
        drawing.draw(file, mortality_picture(year, rows, currency), whence)

    def exact(name: str, title: str, *, listed: bool = True) -> answer.Column[MortalityRow]:
        return answer.Column(
            name, lambda row: answer.rounded(getattr(row, name), currency), title, figure=True, listed=listed
        )

    columns: tuple[answer.Column[MortalityRow], ...] = (
        answer.Column("species", lambda row: row.species),
        answer.Column("lots", lambda row: list(row.lots), listed=False),
        answer.Column("reared", lambda row: row.reared, figure=True),
        answer.Column("lost", lambda row: row.lost, figure=True),
        answer.Column(
            "expected_share",
            lambda row: None if row.expected_share is None else float(row.expected_share),
            "expected %",
            lambda row: answer.NONE if row.expected_share is None else f"{float(row.expected_share) * 100:.0f}",
            figure=True,
        ),
        exact("spent", f"spent {currency.code}"),
        exact("without_losses", "had none died"),
        exact("at_expected", "at expected"),
        exact("actual", "each"),
        exact("price", "losses cost"),
        exact("beyond", "beyond expected"),
        answer.Column("why", lambda row: row.why or None, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none=f"No lot finished rearing in {year}.")
    if args.format == "text" and rows:
        answer.say("")
        for sentence in SAYS:
            answer.say_wrapped(sentence, 100)
    drawing.say_where(file, args.format)
    return 0


def _columns(currency: Currency) -> tuple[answer.Column[RearingRow], ...]:
    def cost(name: str, title: str) -> answer.Column[RearingRow]:
        def value(row: RearingRow) -> answer.Json:
            return answer.rounded(getattr(row, name), currency)

        return answer.Column(name, value, title, figure=True)

    def exact(name: str) -> answer.Column[RearingRow]:
        return answer.Column(f"{name}_exact", lambda row: answer.in_major(getattr(row, name), currency), listed=False)

    def number(name: str) -> answer.Column[RearingRow]:
        return answer.Column(name, lambda row: getattr(row, name), figure=True)

    def own_time() -> answer.Column[RearingRow]:
        def value(row: RearingRow) -> answer.Json:
            return None if row.own_minutes is None else float(row.own_minutes)

        return answer.Column("own_minutes", value, figure=True, listed=False)

    def hidden(name: str, *, figure: bool = False) -> answer.Column[RearingRow]:
        return answer.Column(name, lambda row: getattr(row, name), figure=figure, listed=False)

    return (
        answer.Column("lot", lambda row: row.lot or None, text=lambda row: row.lot or f"all {row.species}"),
        answer.Column("species", lambda row: row.species, listed=False),
        answer.Column("origin", lambda row: row.origin or None, listed=False),
        number("entered"),
        number("reached"),
        number("lost"),
        number("left_early"),
        number("pending"),
        answer.Column("survival", lambda row: row.survival, "reared %", _share, figure=True),
        hidden("low", figure=True),
        hidden("high", figure=True),
        hidden("n_eff", figure=True),
        answer.Column(
            "cost_per_reared",
            lambda row: answer.money(row.cost_shown, currency),
            f"{currency.code} each",
            figure=True,
        ),
        cost("cost_without_losses", "had none died"),
        cost("naive_cost", "quick sum"),
        answer.Column("why", _why, listed=False),
        exact("cost_per_reared"),
        exact("cost_without_losses"),
        exact("naive_cost"),
        hidden("missing", figure=True),
        hidden("counted_from"),
        hidden("cost_reached", figure=True),
        answer.Column("by_category", lambda row: _parts(row.by_category, currency), listed=False),
        answer.Column("by_stage", lambda row: _parts(row.by_stage, currency), listed=False),
        hidden("finished"),
        hidden("so_far"),
        answer.Column("notes", lambda row: list(row.notes), listed=False),
        own_time(),
        answer.Column("with_own_time", lambda row: answer.rounded(row.with_own_time, currency), listed=False),
    )


def _share(row: RearingRow) -> str:
    if row.survival is None:
        return answer.NONE
    figure = f"{row.survival * 100:.0f}"
    if row.low is None or row.high is None:
        return figure
    return f"{figure} ({row.low * 100:.0f} to {row.high * 100:.0f})"


def _why(row: RearingRow) -> str | None:
    """Why a figure is missing: that of survival, that of the cost."""
    cost = row.notes[0] if row.cost_per_reared is None and row.notes else ""
    return "; ".join(dict.fromkeys(reason for reason in (row.why, cost) if reason)) or None


def _parts(parts: Sequence[CostPart], currency: Currency) -> Mapping[str, answer.Json]:
    return {part.name: answer.money(part.shown, currency) for part in parts}


def _write_remarks(rows: Sequence[RearingRow]) -> None:
    """What stands under the figures; a remark about several rows once."""
    said: dict[str, list[str]] = {}
    for row in rows:
        why = _why(row)
        for remark in (row.so_far, why, *(note for note in row.notes if note not in (why or "").split("; "))):
            if remark:
                said.setdefault(remark, []).append(row.lot or f"all {row.species}")
    if said:
        answer.say("")
    for remark, names in said.items():
        shown = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
        answer.say(f"{shown}: {remark}" if len(names) < len(rows) else f"{remark[0].upper()}{remark[1:]}")


def _write_own_time(rows: Sequence[RearingRow], currency: Currency) -> None:
    """The keeper's own hours, apart from every cost."""
    timed = [row for row in rows if row.own_minutes]
    if timed:
        answer.say("")
    for row in timed:
        worth = answer.rounded(row.with_own_time, currency)
        with_time = f"; with your time {worth} {currency.code} each" if worth is not None else ""
        name = row.lot or f"all {row.species}"
        answer.say(f"{name}: {float(row.own_minutes or 0):.0f} min of your own in each reared adult{with_time}")


def _curve_columns(curves: Curves) -> tuple[answer.Column[RearingRow], ...]:
    return tuple(
        answer.Column(name, lambda row, name=name: _part(curves.get(_named(row)), name), listed=False)  # type: ignore[misc]
        for name in CURVE
    )


def _part(curve: LotCurve | SpeciesCurve | None, name: str) -> answer.Json:
    """One column of a curve; nothing where it has none."""
    if curve is None:
        return None
    part = DRAWN.get(name)
    found: answer.Json = [getattr(one, part) for one in curve.drawn] if part else getattr(curve, name, None)
    return found


def _write_curve(name: str, curve: LotCurve | SpeciesCurve) -> None:
    """The share reared with its band, and of a lot the shares in each state; a line a day on which something happened.

    A line is the place of its day in the curve.
    """
    from ledger.rearing.curve import LotCurve

    def reached(at: int) -> str:
        one = curve.drawn[at]
        if one.low == one.high:
            # Nothing tells of limits there.
            return f"{one.share * 100:.1f}%"
        return f"{one.share * 100:.1f}% ({one.low * 100:.0f} to {one.high * 100:.0f})"

    columns: list[answer.Column[int]] = [
        answer.Column("day", lambda at: curve.drawn[at].day, figure=True),
        answer.Column("reared by then", lambda at: curve.drawn[at].share, text=reached, figure=True),
    ]
    if not isinstance(curve, LotCurve):
        said = f"on the clock of {curve.lots} lots counted from {curve.counted_from}, with its 95 % limits"
    else:
        columns += [_in_state(curve, place) for place in range(len(curve.states))]
        said = "on the lot's clock, with its 95 % limits, and in each state, with its standard error"
    answer.say("")
    answer.say(f"{name}: share reared by day {said}")
    answer.write_rows(range(len(curve.drawn)), columns, "text", none="")
    for warning in curve.warnings if isinstance(curve, LotCurve) else ():
        answer.say(f"{name}: {warning}")


def _in_state(curve: LotCurve, place: int) -> answer.Column[int]:
    return answer.Column(
        curve.states[place],
        lambda at: curve.prob[at][place],
        text=lambda at: f"{curve.prob[at][place] * 100:.1f}% ±{curve.se[at][place] * 100:.1f}",
        figure=True,
    )

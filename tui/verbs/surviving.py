"""Verbs about survival in plain words, and about how long stages take."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.errors import BadInput, NotFound
from ledger.rearing.warmth import WARMTH
from tui.verbs import answer, drawing, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read

if TYPE_CHECKING:
    from ledger.rearing.look import LotLook, LotsTogether, Share, SpeciesLook
    from ledger.rearing.stage_times import StageTime
    from ledger.rearing.times_of import DateAhead


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(
        top.verb(
            "survival",
            "Say how many of a lot (or of a species' lots) are reared, and what became of all.",
            survival,
            epilog="rearledger survival P08\nrearledger survival PACH --animals 60",
        )
    )
    parser.add_argument("code", metavar="LOT|SPECIES", help="the lot, or a species for all its lots")
    parser.add_argument("--animals", metavar="N", help="of a species: how many the next lot has; else as usual")
    with_day(parser, "on", "up to that day; else today")
    parser = common(
        top.verb(
            "stage-times",
            "Say how long each stage of a species takes, and what that rests on.",
            stage_times,
            epilog="rearledger stage-times PACH\nrearledger stage-times PACH --stage cocoon --entered 2025-03-01",
        )
    )
    parser.add_argument("species", metavar="SPECIES", help="its code")
    parser.add_argument("--stage", metavar="STAGE", help="with --entered: when to expect the later stages")
    with_day(parser, "entered", "the day on which animals entered that stage")
    with_day(parser, "on", "from what was known on that day; else today")
    drawing.with_picture(parser)


def survival(args: argparse.Namespace) -> int:
    """Survival of a lot, or of a species."""
    animals = None if args.animals is None else typed.whole(args.animals, "a number of animals", "animals", most=20_000)
    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on")
        found: LotLook | SpeciesLook
        try:
            found = ledger.survival_of_lot(args.code, on)
        except NotFound as no_lot:
            try:
                found = ledger.survival_of_species(args.code, on, animals=animals)
            except NotFound:
                raise no_lot from None
    if args.format == "text":
        for sentence in found.words:
            answer.say(sentence)
        return 0
    from ledger.rearing.look import LotLook

    rows = [_lot_json(found)] if isinstance(found, LotLook) else [_group_json(found, one) for one in found.groups]
    answer.write_rows(rows, [_column(key) for key in rows[0]], args.format, none="")
    return 0


def _column(key: str) -> answer.Column[dict[str, answer.Json]]:
    return answer.Column(key, lambda row: row[key])


def _share(one: Share | None) -> answer.Json:
    if one is None:
        return None
    return {"share": one.share, "low": one.low, "high": one.high, "worth_animals": one.size}


def _lot_json(found: LotLook) -> dict[str, answer.Json]:
    tie = found.tie
    return {
        "lot": found.lot,
        "species": found.species,
        "on": answer.day(found.on),
        "entered": tie.entered,
        "reached": tie.reached,
        "lost": tie.lost,
        "missing": tie.missing,
        "left_early": tie.left_early,
        "pending": tie.pending,
        "left_alone": _share(found.alone),
        "if_missing_lived": _share(found.if_missing_lived),
        "counted_later": _share(found.later),
        "counted_later_from": found.later_from,
        "became": {one.name: {"share": one.share, "se": one.se} for one in found.became},
        "by_stage": None
        if found.product is None
        else {
            "share": found.product.share,
            "low": found.product.interval.low if found.product.interval is not None else None,
            "high": found.product.interval.high if found.product.interval is not None else None,
            "stages": {one.name: one.share for one in found.product.stages if one.entered},
        },
        "words": list(found.words),
    }


def _group_json(found: SpeciesLook, group: LotsTogether) -> dict[str, answer.Json]:
    coming = group.next_lot
    return {
        "species": found.species,
        "on": answer.day(found.on),
        "counted_from": group.counted_from,
        "together": _share(group.together),
        "design_effect": group.design_effect,
        "lots": {code: _share(share) for code, share in group.lots},
        "next_lot": None
        if coming is None
        else {
            "animals": coming.animals,
            "mean": coming.mean,
            "low": coming.low,
            "middle": coming.middle,
            "high": coming.high,
            "correlation": coming.rho,
            "guessed": coming.guessed,
        },
        "words": list(group.words),
    }


def stage_times(args: argparse.Namespace) -> int:
    """Stage times of a species, or the days ahead of animals in one of them."""
    if (args.stage is None) != (args.entered is None):
        missing = "stage" if args.stage is None else "entered"
        raise BadInput("Say both --stage and --entered, or neither.", field=missing)
    file = drawing.asked(args)
    if args.stage is not None:
        if file is not None:
            raise BadInput("The days ahead have no picture; leave --picture out.", field="picture")
        return _dates_ahead(args)
    with to_read(args) as ledger:
        whence = drawing.origin(file, ledger, typed.day(args.on, ledger, "on"))
        rows = ledger.stage_times(args.species, typed.day(args.on, ledger, "on"))
    if file is not None:
        from tui.places.stage_times import times_picture

        drawing.draw(file, times_picture(args.species.upper(), rows), whence)
    if args.format == "text":
        for row in rows:
            answer.say(row.words)
        if rows:
            answer.say(WARMTH)
        drawing.say_where(file, args.format)
        return 0
    columns: tuple[answer.Column[StageTime], ...] = (
        answer.Column("stage", lambda row: row.stage),
        answer.Column("days", lambda row: row.days, figure=True),
        answer.Column("median", lambda row: row.median),
        answer.Column("middle_half", lambda row: row.middle_half),
        answer.Column("animals", lambda row: row.animals, figure=True),
        answer.Column("lots", lambda row: row.lots, figure=True),
        answer.Column("how", lambda row: row.how),
        answer.Column("own_weight", lambda row: row.own_weight, figure=True),
        answer.Column("source", lambda row: row.source),
        answer.Column("everyone", lambda row: row.everyone, figure=True),
        answer.Column("words", lambda row: row.words, listed=False),
        answer.Column("warmth", lambda row: WARMTH, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="")
    return 0


def _dates_ahead(args: argparse.Namespace) -> int:
    with to_read(args) as ledger:
        entered = typed.day(args.entered, ledger, "entered")
        assert entered is not None
        rows = ledger.dates_ahead(args.species, args.stage, entered, typed.day(args.on, ledger, "on"))
    columns: tuple[answer.Column[DateAhead], ...] = (
        answer.Column("stage", lambda row: row.stage),
        answer.Column("on", lambda row: answer.day(row.on), "about"),
    )
    answer.write_rows(rows, columns, args.format, none="")
    return 0

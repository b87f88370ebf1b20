"""How many young to start for a wanted number reared, from what the lots of the species tell. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from sqlalchemy import Connection

from ledger.errors import BadInput, Refused
from ledger.rearing.decided import decided
from ledger.rearing.guesses import guesses_of
from ledger.rearing.how_many import CONFIDENCES, ToStart, to_start
from ledger.rearing.lot_effect import lot_effect
from ledger.rearing.phases import phases, tally
from ledger.rearing.plain_words import percent
from ledger.rearing.stays_of import learned
from ledger.stock.figures import figures
from ledger.stock.naming import find_species, match_stage, stages
from ledger.stock.words import stage_words
from ledger.wording import counted, say, strung, word

MOST_WANTED = 2_000


@dataclass(frozen=True, slots=True)
class Start:
    """How many to start for a wanted number reared."""

    species: str
    stage: str
    wanted: int
    chance: float
    size: float
    rho: float
    answers: tuple[ToStart, ...]
    """With 80, 90 and 95 % confidence."""
    words: tuple[str, ...]


def how_many_to_start(conn: Connection, species: str, wanted: int, on: dt.date, *, stage: str | None = None) -> Start:
    """How many of a stage to start so that a wanted number is reared.

    Args:
        conn: an open reading connection.
        species: its code.
        wanted: reared animals.
        on: last day looked at.
        stage: the stage started from; the one most lots were counted from by default.

    Raises:
        NotFound: no such species or stage.
        BadInput: no such number.
        Refused: nothing is known of the survival.
    """
    if not 1 <= wanted <= MOST_WANTED:
        raise BadInput(
            say("The number wanted must be from 1 to {most_wanted}.", most_wanted=f"{MOST_WANTED:,}"), "wanted"
        )
    kind = find_species(conn, species)
    ladder = stages(conn, kind.id)
    reared = next(one for one in ladder if one.reared)
    young = [one for one in ladder if one.unit == "animal" and one.position < reared.position]
    told = learned(conn, kind.id, on)
    if stage is not None:
        first = match_stage(ladder, stage)
        if first not in young:
            raise BadInput(
                say(
                    "{stage} is not a stage of young; start from one before {reared}.",
                    stage=word(first.name),
                    reared=word(reared.name),
                ),
                "stage",
            )
    else:
        firsts = [min(stay.state for stay in lot) for lot in told.stays]
        if not firsts:
            raise Refused(
                say("{code} has no lots to learn from; say from which stage to start.", code=kind.code), "stage"
            )
        first = young[max(set(firsts), key=firsts.count)]
    at = young.index(first)
    guesses, unknown, _ = guesses_of(figures(conn, on), kind.id, young, told)
    missing = [unknown[one] for one in sorted(unknown) if one >= at]
    if missing:
        raise Refused(
            say(
                "{code}: neither days nor survival of {missing} are known; set them for the species, or finish a lot.",
                code=kind.code,
                missing=strung(map(word, missing), say(" and ")),
            ),
            "species",
        )
    tallied = tally(told.stays, len(young))
    shares = phases(tallied, np.ones((1, tallied.lots)), guesses).survival[0]
    chance = float(np.prod(shares[at:]))
    effect = lot_effect(told.stays, len(young))
    size = decided(told.stays, at)
    alike = 1 + max(0.0, size / max(1, effect.lots) - 1) * effect.rho
    answers = tuple(to_start(wanted, chance, size / alike, effect.rho, confidence) for confidence in CONFIDENCES)
    own = counted(effect.lots, "{n} lot of your own", "{n} lots of your own")
    if any(guess is not None for guess in guesses):
        own = say("{own} and the usual figures", own=own)
    words = [
        say(
            "{code}: {chance} of {young} become {reared}, from {own}.",
            code=kind.code,
            chance=percent(chance),
            young=stage_words(first.name, 2),
            reared=word(reared.name),
            own=own,
        ),
        *(say("Start {number}.", number=answer.words) for answer in answers),
    ]
    return Start(kind.code, first.name, wanted, chance, size / alike, effect.rho, answers, tuple(words))

"""The first start, when there is no ledger yet: a few questions at the prompt make one, or the example is looked at.

Plain questions and answers, so that it works in any terminal, over a slow line and for a screen reader. What is
answered is read by the ledger itself; what cannot be is refused in its sentence and asked again. Nothing is made before
name, currency and the start of the year are known, since two of them never change.
"""

from __future__ import annotations

import datetime as dt
import os
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from ledger.errors import Refused
from ledger.text import show
from tui.verbs import typed

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from ledger.stock.commands import OriginStatement
    from ledger.stock.templates import SpeciesTemplate

T = TypeVar("T")
MAKE, LOOK = "1", "2"
MOST_LISTED = 12
_LANG = re.compile(r"([a-z]{2,3}_[A-Z]{2})(?:[.@].*)?")


class _Left(Exception):
    """Nothing more is answered."""


@dataclass(frozen=True, slots=True)
class Talk:
    """One who asks and says; the tests answer for a keeper.

    Args:
        ask: shows a question and gives the line that was typed; raises EOFError when nobody answers any more.
        say: shows a line.
    """

    ask: Callable[[str], str]
    say: Callable[[str], None]

    def until(self, question: str, read: Callable[[str], T]) -> T:
        """Ask until the answer can be read."""
        while True:
            try:
                answer = self.ask(show(question))
            except (EOFError, KeyboardInterrupt):
                raise _Left from None
            try:
                return read(answer.strip())
            except Refused as refused:
                self.say(show(refused.sentence))


def first_run(place: str, talk: Talk) -> str:
    """Offer to make a ledger or to look at the example.

    Args:
        place: where the ledger would be.
        talk: asks the keeper.

    Returns:
        `MAKE` when a ledger was made there, `LOOK` when the example is wanted, empty when neither.
    """
    talk.say(f"There is no ledger at {show(place)} yet.")
    talk.say("")
    talk.say("  1  make one: a few questions, Enter takes what is offered")
    talk.say("  2  look around the example business, all of it invented")
    talk.say("")
    try:
        wanted = talk.until("1 or 2 (Enter leaves): ", _one_of)
    except _Left:
        talk.say("")
        return ""
    if wanted != MAKE:
        return wanted
    try:
        ledger = _make(place, talk)
    except _Left:
        talk.say("")
        talk.say("Nothing was made.")
        return ""
    with ledger:
        try:
            _fill(ledger, talk)
        except _Left:
            talk.say("")
            talk.say("The ledger is there all the same; the rest can be done on the screen.")
    return MAKE


def _one_of(answer: str) -> str:
    if answer not in ("", MAKE, LOOK):
        raise Refused("Write 1 or 2, or press Enter to leave.")
    return answer


# --- the ledger ------------------------------------------------------------------------------------------------------


def _make(place: str, talk: Talk) -> Ledger:
    from ledger.ledger import Ledger
    from ledger.money import Currency
    from ledger.records.commands import SetSetting
    from ledger.records.settings import SETTINGS
    from tui.look import short

    name = talk.until("Name of your business (Enter: none yet): ", SETTINGS["business name"])
    currency = talk.until(
        "Currency, three letters such as EUR; it never changes: ", lambda said: Currency.of(said).code
    )
    found = _LANG.match(os.environ.get("LC_ALL") or os.environ.get("LC_TIME") or os.environ.get("LANG") or "")
    usual = found[1] if found else ""
    begins = talk.until(
        "Your accounting year begins on (Enter: 1 January; it never changes): ",
        lambda said: typed.day_of_year(said or "1 January", "year_start", typed.order_of(usual) if usual else None),
    )
    offered = f"Enter: {usual}" if usual else "such as en_GB; Enter: none"
    locale = talk.until(
        f"Language and country, for how days are written ({offered}): ",
        lambda said: usual if _is_english(said, usual) else SETTINGS["locale"](said or usual),
    )
    ledger = Ledger.create(place, currency=currency, name=name, year_start=begins)
    if locale:
        ledger.do(SetSetting("locale", locale))
    day = short(ledger.today, typed.order_of(locale))
    first = f"{begins[1]} {dt.date(1999, begins[0], 1):%B}"
    talk.say(f"A ledger in {currency} is at {show(place)}; days are written like {day}, years begin on {first}.")
    talk.say("")
    return ledger


def _is_english(said: str, usual: str) -> bool:
    """Whether a language is said by its name, and this computer says which English."""
    return said.strip().casefold() == "english" and usual.startswith("en_")


# --- the first species and lot ---------------------------------------------------------------------------------------


def _fill(ledger: Ledger, talk: Talk) -> None:
    from ledger.stock.commands import AddSpecies

    chosen = _choose(talk)
    if chosen is None:
        talk.say("Species come from 3 Stock, key S; then open a lot there with n.")
        return
    usual = _short(chosen)

    def take_in(said: str) -> str:
        done = ledger.do(AddSpecies(said or usual, chosen.key))
        talk.say(show(" ".join((done.sentence, *done.cautions))))
        return (said or usual).upper()

    species = talk.until(f"Your short code for it (Enter: {usual}): ", take_in)
    talk.say("")
    _first_lot(ledger, talk, species)


def _choose(talk: Talk) -> SpeciesTemplate | None:
    """A shipped template, found by a part of its name and then by its number."""
    from ledger.stock.templates import matching, templates

    listed: list[SpeciesTemplate] = []
    question = "Your first species, a part of its name or kind (Enter: later): "

    def read(said: str) -> SpeciesTemplate | bool | None:
        if not said:
            return None
        if said.isascii() and said.isdigit() and 1 <= int(said) <= len(listed):
            return listed[int(said) - 1]
        fits = matching(said)
        if len(fits) == 1:
            return fits[0]
        if not fits:
            kinds = ", ".join(sorted({one.group for one in templates()}))
            raise Refused(f"No template has that in its name. There are {kinds}; any of them can be changed later.")
        listed[:] = fits[:MOST_LISTED]
        for number, one in enumerate(listed, start=1):
            talk.say(f"  {number:2}  {one.common}{f', {one.scientific}' if one.scientific else ''}")
        return False

    while True:
        found = talk.until(question, read)
        if found is None or not isinstance(found, bool):
            return found
        question = "Its number, or more of its name (Enter: later): "


def _short(template: SpeciesTemplate) -> str:
    """Four letters for a species: PACH for Pachnoda marginata."""
    letters = re.sub(r"[^A-Z]", "", (template.scientific or template.group).upper())
    return letters[:4]


def _first_lot(ledger: Ledger, talk: Talk, species: str) -> None:
    from ledger.stock.commands import AddLot, Arrival
    from tui.origin_ahead import origin_ahead
    from tui.verbs.animals import read_arrivals

    row = next(one for one in ledger.species() if one.code == species)
    code = f"{species[0]}01"
    names = ledger.vocabulary()
    known = replace(names, stages={**names.stages, code: tuple((one.name, one.unit) for one in row.stages)})

    def animals(said: str) -> tuple[Arrival, ...]:
        if not said:
            return ()
        arrivals = read_arrivals(f"opening {said}", code, known, ledger.currency)
        ledger.preview(AddLot(code, species, ledger.today, arrivals, origin=_origin("")))
        return arrivals

    talk.say(f"Its stages: {', '.join(one.name for one in row.stages)}.")
    talk.say(f"How many do you have at which stage? Such as 20 {row.reared}, or about 40 {row.reared}.")
    arrivals = talk.until("Your first lot (Enter: later): ", animals)
    if not arrivals:
        talk.say("A lot is opened in 3 Stock, key n.")
        return
    origin = talk.until("Their origin: bred, wild, or Enter: not known: ", _origin)
    purpose = talk.until("What are they for: sale, breeding or quarantine (Enter: sale): ", _purpose)
    started = talk.until(
        "Since when are they here (Enter: today): ", lambda said: typed.day(said or "today", ledger, "started_on")
    )

    def open_lot(said: str) -> None:
        command = AddLot(said or code, species, started or ledger.today, arrivals, purpose=purpose, origin=origin)
        ahead, lacking = origin_ahead(ledger, ledger.preview(command))
        done = ledger.do(command)
        talk.say(show(" ".join((done.sentence, *ahead, *done.cautions, *lacking))))

    talk.until(f"A code for the lot, to write on the tub (Enter: {code}): ", open_lot)


def _purpose(said: str) -> str:
    from ledger.records.lot_facts import PURPOSES

    bare = said.casefold().removeprefix("for ").strip() or "sale"
    known = [purpose for purpose in PURPOSES if purpose.startswith(bare)]
    if len(known) != 1:
        raise Refused("Write sale, breeding or quarantine; only what is for sale is offered as ready to be sold.")
    return known[0]


def _origin(said: str) -> OriginStatement:
    from ledger.stock.commands import OriginStatement

    codes = {"": "UNK", "not known": "UNK", "bred": "CBU", "wild": "WC"}
    if said.casefold() not in codes:
        raise Refused("Write bred, wild, or press Enter; more can be said of it on the screen, in the lot's page.")
    code = codes[said.casefold()]
    return OriginStatement(code, evidence=0 if code == "UNK" else 1)

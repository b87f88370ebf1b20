"""Jot lines about spending: what was bought, for whom, how long it lasts, and what is opened out of the store."""

from __future__ import annotations

import datetime as dt

from ledger.costs.commands import Spend, TakeOut
from ledger.costs.store import thousandths
from ledger.costs.windows import GUESS_DAYS
from ledger.days import DayRange
from ledger.errors import BadInput
from ledger.selling.commands import SpendFromBox
from ledger.text import quoted
from ledger.wording import say, word
from tui.how_many import is_number, number_of
from tui.jot_amounts import has_digit, take_amount
from tui.jot_days import left_over
from tui.jot_supplier import ask_about
from tui.jot_words import Setting, Words, find_lot, find_name, known_name
from tui.typed_words import length_in_english
from tui.ways import METHODS

STORE = ("unopened", "into store", "in store", "to store")
OPENED = ("opened", "taken out")
A_BAG = "bag"
FROM_BOX = ("from the box", "from box", "from the fair", "out of the box", "paid from the box")
"""What says that the cash of a fair paid; never part of a supplier's name."""
_SPENDING_PARTS = ("for", "tax", "lasts", "unpaid", *STORE, *FROM_BOX)
_AFTER_A_NUMBER = (",", "for", "tax", "lasts", "unpaid", "from", "out")
LASTING = {"day": 1, "week": 7, "month": 30, "year": 365}
"""Times something lasts, in days."""


def refuse_life(category: str, kind: str) -> None:
    """Refuse a life of what is known as another kind than lasting: no word changes its kind by the way."""
    if kind == "lasting":
        return
    raise BadInput(
        say(
            "{category} is known as overhead, so it does not last; say its period instead, such as nov or 1 nov to 30 "
            "nov, or call a thing that stays equipment.",
            category=quoted(category),
        )
        if kind == "overhead"
        else say(
            "{category} is known as {kind}, so it does not last; leave that out, or call a thing that stays equipment.",
            category=quoted(category),
            kind=word(kind),
        ),
        field="life",
    )


def refuse_period(category: str, kind: str) -> None:
    """Refuse the period of what is not used up over days."""
    if kind in ("lasting", "selling"):
        raise BadInput(
            say("{category} is {kind}, which has no period; leave it out.", category=quoted(category), kind=word(kind)),
            field="period",
        )


def read_spending(
    words: Words, category: str, on: dt.date, note: str, setting: Setting, period: DayRange | None = None
) -> Spend | SpendFromBox | TakeOut:
    """`feed 24.00 Ombrel`, `equipment 145 Nib lasts 5 years`, `substrate 18 for P08 P09 unpaid`, `substrate 18 Ombrel
    unopened` and later `substrate opened`; `from the box` where the cash of a fair paid;
    `period`: the days a bill is for, where the line says them."""
    if words.take_phrase(OPENED) is not None:
        if period is not None:
            raise BadInput(say("What is opened is used up from that day; write lasts 3 weeks instead."), field="period")
        return _opened(words, category, on, note, setting)
    if words.peek().startswith(("-", "\N{MINUS SIGN}")):
        raise BadInput(say("Money that came back is a refund: $ on the cost, in 5 Costs."), field="amount")
    gross = take_amount(words, setting, say("was spent on {category}", category=category))
    kind = setting.vocabulary.categories[category]
    start = words.at
    if words.take_phrase(FROM_BOX) is not None:
        words.at = start
    elif words.take_phrase(("from",)) is not None:
        start = words.at
    typed, how = _by_method(words.before(_SPENDING_PARTS))
    note = f"{how}. {note}" if how and note else how or note
    supplier = _supplier(typed, words, start, words.at - bool(how), kind, setting) if typed else ""
    tax, life_days, unpaid, from_box = 0, None, False, False
    stored: tuple[str, str] | None = None
    species: list[str] = []
    lots: list[str] = []
    while (part := words.take_phrase(_SPENDING_PARTS)) is not None:
        if part == "tax":
            tax = take_amount(words, setting, "tax")
        elif part == "unpaid":
            unpaid = True
        elif part in FROM_BOX:
            from_box = True
        elif part == "lasts":
            life_days = _life(words)
        elif part in STORE:
            stored = _quantity(words)
        else:
            _scope(words, species, lots, setting)
    if words:
        raise left_over(words)
    if species and lots:
        raise BadInput(say("A cost is for species or for lots, not for both; write two lines."), field="scope")
    if life_days is not None:
        refuse_life(category, kind)
    if period is not None:
        refuse_period(category, kind)
    if kind == "lasting" and life_days is None:
        raise BadInput(
            say("How long will it last? Add, such as: {category} lasts 5 years.", category=category), field="life_days"
        )
    if stored is not None and kind != "used up":
        raise BadInput(say("Only what is used up is kept in store; leave that out for {category}.", category=category))
    if stored is not None and (species or lots):
        raise BadInput(say("Whom it is for is said when it is opened; leave it out."), field="scope")
    quantity, unit = stored or ("", "")
    scope = "none" if kind == "selling" else "lots" if lots else "species" if species else "all"
    spend = Spend(
        on,
        category,
        gross,
        supplier,
        tax=tax,
        kind=kind,
        scope=scope,
        species=tuple(species),
        lots=tuple(lots),
        window_from=None if period is None else period.first,
        window_to=None if period is None else period.last,
        life_days=life_days,
        stored=stored is not None,
        quantity=quantity,
        unit=unit,
        unpaid=unpaid,
        note=note,
    )
    return SpendFromBox(spend) if from_box else spend


def _supplier(typed: str, words: Words, start: int, stop: int, kind: str, setting: Setting) -> str:
    """Who was paid: one known, or a new one that is hardly anything else."""
    known = setting.vocabulary.suppliers
    if known_name(typed, known) is None and not typed.casefold().startswith("new "):
        ask_about(words, start, stop, kind, setting.vocabulary)
    return find_name(typed, known, "supplier", words, start, stop)


def _quantity(words: Words) -> tuple[str, str]:
    """'10 kg', '2 bags' after what is kept unopened; a bag when nothing is said."""
    if not has_digit(words.peek()):
        return "1", A_BAG
    number = words.take()
    unit = words.take() if words and words.peek() not in _AFTER_A_NUMBER else A_BAG
    return number, A_BAG if unit.casefold() == f"{A_BAG}s" else unit


def _opened(words: Words, category: str, on: dt.date, note: str, setting: Setting) -> TakeOut:
    """'substrate opened', 'feed opened 2 kg lasts 3 weeks for P08': out of the store, to be used up from that day."""
    number, _ = _quantity(words)
    days = GUESS_DAYS
    species: list[str] = []
    lots: list[str] = []
    while (part := words.take_phrase(("lasts", "for"))) is not None:
        if part == "lasts":
            days = _life(words)
        else:
            _scope(words, species, lots, setting)
    if words:
        raise left_over(words)
    if len(species) + len(lots) > 1:
        raise BadInput(say("What is opened is for one species, one lot or all animals."), field="scope")
    return TakeOut(
        category,
        thousandths(number),
        on,
        used_to=on + dt.timedelta(days=days - 1),
        species=species[0] if species else None,
        lot=lots[0] if lots else None,
        note=note,
    )


def _by_method(typed: str) -> tuple[str, str]:
    """A supplier without how it was paid at its end: 'Kell cash' is Kell, and how it was paid goes into the note."""
    name, _, last = typed.rpartition(" ")
    if last.casefold() not in METHODS:
        return typed, ""
    return name.removesuffix(",").strip(), f"paid {last.casefold()}"


def _life(words: Words) -> int:
    number, unit = words.take(), length_in_english(words.take())
    if not (is_number(number) and unit in LASTING):
        raise BadInput(say("How long does it last? Write: lasts 5 years, or lasts 18 months."), field="life_days")
    return number_of(number, "life_days") * LASTING[unit]


def _scope(words: Words, species: list[str], lots: list[str], setting: Setting) -> None:
    """Species codes or lots after 'for'."""
    known = {code.casefold(): code for code in setting.vocabulary.species}
    begun = words.at
    while words:
        words.take_phrase((",", "and"))
        if words.peek().casefold() in known:
            species.append(known[words.take().casefold()])
        elif (found := find_lot(words, setting.vocabulary)) is not None:
            lots.append(found[0])
        else:
            break
    if words.at == begun and words.take_phrase(("all animals", "all")) is not None:
        return
    if words.at == begun:
        raise BadInput(
            say("{peek} is not a species or a lot; write: for P08, for PACH, or for all.", peek=quoted(words.peek())),
            field="scope",
        )

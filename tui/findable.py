"""What an action is for, and other words people look for it by: so that nobody needs to guess its key.

By the word the key has everywhere. The help groups what is seldom done by what it is for; the list of all actions finds
an action also by the words that stand here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from ledger.wording import say
from tui.actions import Act
from tui.tongue import tell

if TYPE_CHECKING:
    from tui.frame import Place
    from tui.places import Way

_THINGS = say("Feed and things: what is open, in store and lasting")
_MONEY = say("Other money")
_LOTS = say("Lots as a whole")
_LISTS = say("Other lists")
_AFTER = say("After a sale")
_PRICES = say("Prices and what to tell buyers")
_CLOSING = say("The end of a year")
_FILES = say("Files in and out")
_FIGURES = say("Figures")


@dataclass(frozen=True, slots=True)
class Found:
    """How an action is found."""

    group: str = ""
    """What it is for; empty: it stands with what is done daily."""
    also: str = ""
    """Other words for it."""


BY_WORD: Final[dict[str, Found]] = {
    "in use": Found(_THINGS, say("open bag, feed, running out")),
    "used up": Found(_THINGS, say("finished, empty bag, feed")),
    "store": Found(_THINGS, say("storage, stock of feed, pantry, supplies, weigh")),
    "equipment": Found(_THINGS, say("lasting things, terrarium, lamp, heater, depreciation, register")),
    "dispose": Found(_THINGS, say("throw away, broken, scrap, sell equipment")),
    "power": Found(_MONEY, say("electricity, heating, watts, meter, energy")),
    "own hours": Found(_MONEY, say("time, labour, work")),
    "refund": Found(_MONEY, say("money back, return to the shop")),
    "take back": Found("", say("undo, mistake, wrong, delete, correct")),
    "correct": Found("", say("wrong category, wrong amount, change, mend, plan anew, call off")),
    "spend": Found("", say("buy, cost, expense, bill, purchase")),
    "pay": Found("", say("money, bill, invoices, transfer")),
    "explain": Found("", say("why, made of, where it went")),
    "split": Found(_LOTS, say("divide, part, separate")),
    "merge": Found(_LOTS, say("join, combine, one lot of several")),
    "dried": Found(_LOTS, say("specimen, pinned, dead collection")),
    "more of it": Found("", say("keep back, quarantine, pair, parents, purpose, place, shelf, move, note, treatment")),
    "together": Found("", say("pair, breeding pair, mate, mating, put together, couple, with whom")),
    "purpose": Found("", say("for sale, not for sale, breeding, breeders, quarantine, what it is for")),
    "species": Found(_LISTS, say("kind, template, animals")),
    "all recorded": Found(_LISTS, say("history, journal, log, entries")),
    "empty lots": Found(_LISTS, say("ended, gone, old")),
    "papers": Found(_FILES, say("print, PDF, label, register, provenance")),
    "hold": Found("", say("reserve, promise, keep for a buyer, deposit")),
    "pack": Found("", say("bundle, set, mixed, several lots")),
    "message": Found(_PRICES, say("copy, send, list for buyers, advert")),
    "prices": Found(_PRICES, say("price list")),
    "set price": Found(_PRICES, say("change the price, dearer, cheaper")),
    "holds": Found(_LISTS, say("reserved, promised, deposits, waiting list")),
    "parcels": Found(_LISTS, say("post, shipping, carrier, send")),
    "owed": Found(_LISTS, say("debts, unpaid, deposits, open invoices")),
    "fairs": Found(_LISTS, say("market, stall, table, show, cash box")),
    "given, lent": Found(_LISTS, say("gift, loan, swap, breeding loan")),
    "customers": Found(_LISTS, say("buyers, people, address, contact, erase data")),
    "claim": Found(_AFTER, say("dead on arrival, complaint, DOA")),
    "replace": Found(_AFTER, say("others in place of dead ones, goodwill")),
    "posted": Found(_AFTER, say("sent, shipped, tracking, carrier")),
    "arrived": Found(_AFTER, say("delivered, came")),
    "wait, go": Found(_AFTER, say("frost, heat, holiday, later")),
    "credit": Found(_AFTER, say("cancel, undo a sale, money back, return")),
    "tell": Found(_AFTER, say("wrong origin, correction, note to the buyer")),
    "outlook": Found(_FIGURES, say("forecast, coming on, how many become ready")),
    "decide": Found(_FIGURES, say("what if, sell or rear, how many to start, what to charge")),
    "losses": Found(_FIGURES, say("mortality, deaths, died")),
    "stage times": Found(_FIGURES, say("how long, days, development")),
    "count": Found("", say("stocktake, inventory, how many are there")),
    "workbook": Found(_FILES, say("spreadsheet, accountant, adviser, xlsx, export")),
    "archive": Found(_FILES, say("export, zip, CSV, all data, copy")),
    "bring in": Found(_FILES, say("import, spreadsheet, xlsx, ods, CSV, old records")),
    "checks": Found(_CLOSING, say("adds up, audit, verify")),
    "prove": Found(_CLOSING, say("verify, audit, rebuild, adds up")),
    "late facts": Found(_CLOSING, say("afterwards, after closing, corrections")),
    "valuation": Found(_CLOSING, say("worth of the stock, standard cost")),
    "thresholds": Found(_CLOSING, say("tax, limits, small business, keep records")),
    "close": Found(_CLOSING, say("lock, year end, finish")),
    "Language and days": Found("", say("German, English, date, locale, country")),
    "Business and papers": Found("", say("address, logo, terms, name, bank")),
    "Species and stages": Found("", say("template, figures, life stages")),
    "Post of living animals": Found("", say("shipping, weather, temperature, weekdays")),
    "Reminders about rules": Found("", say("permit, licence, protected, invasive, law")),
    "Thresholds, keeping records": Found("", say("tax, limits, years")),
    "For your adviser: method": Found("", say("sharing of costs, care weight, loss rate")),
    "Backups": Found("", say("safety copy, restore, stick")),
    "The ledger itself": Found("", say("file, folder, restore, server, upgrade")),
    "Drives to fairs": Found("", say("mileage, kilometre, car")),
    "undo": Found("", say("take back, mistake, wrong, correct")),
    "light": Found("", say("dark, theme, colours, bright")),
    "leave": Found("", say("quit, exit, end")),
    "help": Found("", say("keys, what is this")),
    "write": Found("", say("jot line, type, record, note")),
}
_OF_THE_ROW = frozenset({"find", "whole_list", "stop", "earlier", "later", "open", "lot", "do_it"})
"""Actions that mean something only where one is."""
_NOT_FROM_AFAR = frozenset({"round"})
"""Places whose actions are marks on the row one stands before."""


def found(act: Act) -> Found:
    """How an action is found."""
    return BY_WORD.get(act.words, Found())


def grouped(acts: Sequence[Act]) -> list[tuple[str, list[Act]]]:
    """Actions by what they are for, those without a group first; groups in the order they come in."""
    groups: dict[str, list[Act]] = {"": []}
    for act in acts:
        groups.setdefault(found(act).group, []).append(act)
    return [(group, some) for group, some in groups.items() if some]


def beside(act: Act, *before: str) -> str:
    """What stands beside an action's word in the list of all actions: where it is, what it does, its key."""
    return "  ".join(part for part in (*map(tell, before), tell(act.tip), act.key_said) if part)


def elsewhere(places: Sequence[type[Place] | Way], here: type[object]) -> list[tuple[int, str, Act]]:
    """What can be done in the other places: the number of the place, its name and the action."""
    rows = []
    for n, way in enumerate(places, start=1):
        place = way if isinstance(way, type) else way.load()
        if place is not here and place.NAME not in _NOT_FROM_AFAR:
            rows += [(n, place.NAME, act) for act in (*place.ACTS, *place.BY_WORD) if act.name not in _OF_THE_ROW]
    # What is found by its word alone is the same wherever it stands: here, or in one other place.
    by_word = {id(act): n for n, _, act in rows if not act.key}
    own = {id(act) for act in getattr(here, "BY_WORD", ())}
    return [(n, name, act) for n, name, act in rows if act.key or (by_word[id(act)] == n and id(act) not in own)]

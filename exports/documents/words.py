"""Words of the trade as documents say them: stages and sexes, channels, ways to pay, reasons why animals came and went.

A word that is not known here is the keeper's own, perhaps of another language, and stays as it is.
"""

from __future__ import annotations

import re

from exports.documents.language import Language, mark, mark_counted
from ledger.books.register import Permit
from ledger.stock.words import stage_words

_STAGES = {
    pair[0]: pair
    for pair in (
        mark_counted("egg", "eggs"),
        mark_counted("larva", "larvae"),
        mark_counted("nymph", "nymphs"),
        mark_counted("prepupa", "prepupae"),
        mark_counted("pupa", "pupae"),
        mark_counted("cocoon", "cocoons"),
        mark_counted("soft adult", "soft adults"),
        mark_counted("adult", "adults"),
        mark_counted("juvenile", "juveniles"),
        mark_counted("subadult", "subadults"),
        mark_counted("hatchling", "hatchlings"),
        mark_counted("neonate", "neonates"),
        mark_counted("ootheca", "oothecae"),
        mark_counted("clutch", "clutches"),
        mark_counted("sac", "sacs"),
        mark_counted("sling", "slings"),
        mark_counted("manca", "mancas"),
        mark_counted("colony", "colonies"),
        mark_counted("fry", "fry"),
        mark_counted("specimen", "specimens"),
        mark_counted("dried specimen", "dried specimens"),
        mark_counted("eggs with legs", "eggs with legs"),
    )
}
_NYMPH = mark_counted("%(instar)s nymph", "%(instar)s nymphs")
_INSTAR_NYMPH = re.compile(r"(L[0-9]+(?:-[0-9]+)?) nymph")

_WORDS = frozenset(
    (
        # sexes
        mark("male"),
        mark("female"),
        mark("hermaphrodite"),
        mark("unsexed"),
        mark("any"),
        mark("probable male"),
        mark("probable female"),
        mark("probable hermaphrodite"),
        # how a sale is handed over
        mark("post"),
        mark("fair"),
        mark("collection"),
        mark("trade"),
        mark("swap"),
        mark("other"),
        # ways to pay
        mark("cash"),
        mark("card"),
        mark("bank"),
        mark("transfer"),
        # charges
        mark("postage"),
        mark("packing"),
        # packs
        mark("single"),
        mark("pair"),
        mark("trio"),
        mark("retail"),
        # why animals came and went
        mark("here at the start"),
        mark("bought"),
        mark("came in by swap"),
        mark("collected"),
        mark("laid here"),
        mark("hatched here"),
        mark("harvested from a colony"),
        mark("found at count"),
        mark("came back alive"),
        mark("lent to us"),
        mark("sold"),
        mark("went out by swap"),
        mark("given away"),
        mark("taken for own use"),
        mark("gift"),
        mark("sample"),
        mark("own use"),
        mark("sent as goodwill"),
        mark("used as feed"),
        mark("went back to their owner"),
        mark("died"),
        mark("missing at count"),
        mark("culled"),
        mark("escaped"),
        mark("kept as dried specimens"),
        mark("hatched out"),
        mark("split off"),
        mark("merged"),
        mark("moved on"),
    )
)
_PACK = re.compile(r"(single|pair|trio)( [0-9.]+)?")
_GROUPS = {"group": mark("group of %(n)s"), "pack": mark("pack of %(n)s")}
_GROUP = re.compile(r"(group|pack) of ([0-9]+)")


def stage(name: str, n: int, language: Language) -> str:
    """The name of a stage as it stands after a count: 1 larva, 3 larvae, 3 L3."""
    if language.is_source:
        return stage_words(name, n)
    if name in _STAGES:
        return language.counted(*_STAGES[name], n)
    if found := _INSTAR_NYMPH.fullmatch(name):
        return language.counted(*_NYMPH, n, instar=found[1])
    return name


def word(text: str, language: Language) -> str:
    """A word of a closed list; another one stays as it is."""
    return language.say(text) if text in _WORDS else text


def capitalised(text: str, language: Language) -> str:
    """The same at the start of a line."""
    said = word(text, language)
    return said[:1].upper() + said[1:]


def pack(text: str, language: Language) -> str:
    """The name of a pack: 'pair 1.1', 'group of 10', or the keeper's own."""
    if found := _PACK.fullmatch(text):
        return word(found[1], language) + (found[2] or "")
    if found := _GROUP.fullmatch(text):
        return language.say(_GROUPS[found[1]], n=found[2])
    return text


def species_name(common: str, scientific: str) -> str:
    """'sun beetle (Pachnoda marginata)'."""
    return f"{common} ({scientific})" if common and scientific else common or scientific


def permit(one: Permit, language: Language) -> str:
    """A permit as it was entered, with the day it runs to."""
    parts = [one.number, one.text]
    if one.expires_on is not None:
        parts.append(language.say("until %(day)s", day=language.day(one.expires_on)))
    return ", ".join(part for part in parts if part)

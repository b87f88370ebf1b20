"""Every sentence the ledger writes about origin is said in the language of a document, and none is said wrongly."""

from __future__ import annotations

import datetime as dt
import random
import re

import pytest

from exports.documents import recorded, sentences
from exports.documents.language import Language
from ledger.origin.derive import derive_all
from ledger.origin.facts import AnimalRef, Arrival, Claim, CountUp, Exposure, LotFacts, Source, Statement, VirginFact
from ledger.origin.provenance import provenance, provenance_sentence
from ledger.origin.rules import ENDING, WILD_ORIGIN, Code, Origin, evidence_in_words, label
from ledger.origin.service import origin_text
from tests.ledger.origin.story import SPECIES, mantids

GERMAN = Language("de")
ENGLISH_WORDS = re.compile(
    r"\b(the|of|by|our|records?|not|known|bred|captive|wild|from|with|and|stated|evidence|gaps?|lots?|mother|father|on)\b"
)


def every_origin() -> list[Origin]:
    """Each code with each mark and each grade of evidence."""
    generation = {Code.CB: 2} | dict.fromkeys(WILD_ORIGIN, 0)
    return [
        Origin(code, generation.get(code), later, grade, stated, doubted)
        for code in Code
        for later in ((False, True) if code is Code.CB else (False,))
        for grade in range(4)
        for stated in (False, True)
        for doubted in (False, True)
    ]


def is_german(text: str) -> bool:
    """No English word is left in it."""
    return not ENGLISH_WORDS.search(text)


def test_every_origin_on_a_line_is_said_in_german() -> None:
    for origin in every_origin():
        for country in ("", "XB"):
            said = recorded.paper_sentence(origin_text(origin, country), GERMAN)
            assert is_german(said), said
            assert country in said
            if origin.generation and origin.code is Code.CB:
                assert f"F{origin.generation}" in said
                assert ("oder später" in said) == origin.at_least


def test_different_origins_stay_different_in_german() -> None:
    labels = {label(origin) for origin in every_origin()}
    grades = {evidence_in_words(origin) for origin in every_origin()}

    assert len({recorded.origin_label(text, GERMAN) for text in labels}) == len(labels) > 12
    assert len({recorded.evidence(text, GERMAN) for text in grades}) == len(grades) == 8


def test_the_words_in_english_are_the_ledgers_own() -> None:
    english = Language("en")
    for origin in every_origin():
        text = origin_text(origin, "XB")
        assert recorded.paper_sentence(text, english) is text


def test_a_sentence_that_is_not_known_stays_word_for_word() -> None:
    text = "P08: some new way of saying it. By our records; not a certificate."

    assert recorded.paper_sentence(text, GERMAN) == text


def test_a_name_in_a_sentence_is_not_translated() -> None:
    text = "P08: bought 2025-01-02, stated by captive bred & sons (not known): not known."

    assert recorded.reason(text, GERMAN) == (
        "P08: gekauft 02.01.2025, Angabe von captive bred & sons (not known): nicht bekannt."
    )


# --- everything the derivation can say --------------------------------------------------------------------------------


def some_lots(chance: random.Random) -> tuple[list[LotFacts], list[Exposure], list[VirginFact]]:
    """A few lots with whatever may be recorded of lots."""

    def day(share: float = 0.8) -> dt.date | None:
        return dt.date(2024, 1, 1) + dt.timedelta(days=chance.randrange(600)) if chance.random() < share else None

    def animal(most: int) -> AnimalRef:
        return AnimalRef(chance.randint(1, most), chance.choice(("", "", "F05")))

    lots = []
    count = chance.randint(2, 7)
    species = chance.choice(SPECIES).species_id
    for number in range(1, count + 1):
        kinds = chance.sample(("opening", "bought", "swapped in", "lent in", "collected", "laid", "hatched"), 2)
        arrivals = [
            Arrival(kind, day(), chance.choice(("", "F05")), chance.choice((None, True, False)), "female")
            for kind in kinds[: chance.randint(0, 2)]
        ]
        sources: list[Source] = []
        if number > 1 and chance.random() < 0.4:
            how = chance.choice(("split", "merged", "harvested"))
            several = chance.sample(range(1, number), min(number - 1, 2 if how == "merged" else 1))
            sources = [Source(one, how, day()) for one in several]
            if how == "harvested":
                arrivals = [Arrival("harvested", day(), "", chance.choice((None, True, False)))]
        born = any(one.kind in ("laid", "hatched", "harvested") for one in arrivals)
        code = chance.choice(("WC", "WR", "CH", "CF", "CB", "CBU", "MIX", "UNK"))
        generation = chance.choice((None, 1, 2)) if code == "CB" else None
        documents = chance.choice(("", "note 7"))
        laid = (day(), day())
        hatched = day(0.5)
        lots.append(
            LotFacts(
                number,
                f"L{number:02}",
                species,
                tuple(arrivals),
                tuple(sources),
                Statement(
                    code,
                    generation,
                    chance.randint(0, 3),
                    "XB",
                    "",
                    chance.choice(("", "Ombrel: so, and so")),
                    documents,
                )
                if chance.random() < 0.7
                else None,
                mothers=tuple({animal(count) for _ in range(chance.randint(0, 2))}) if born else (),
                stated_fathers=(animal(count),) if born and chance.random() < 0.3 else (),
                laid_from=min((one for one in laid if one), default=None),
                laid_to=max((one for one in laid if one), default=None),
                hatched_from=hatched,
                hatched_to=hatched,
                claims=(
                    Claim(
                        chance.choice(("CBU", "UNK", "MIX", "WC")), None, documents, chance.choice(("", "a: b.")), day()
                    ),
                )
                if chance.random() < 0.4
                else (),
                counts_up=(
                    CountUp(
                        chance.randint(1, 9), chance.randint(0, 3), chance.choice(("", "miscounted before")), day()
                    ),
                )
                if chance.random() < 0.3
                else (),
                counts_off=chance.choice((0, 0, 0, 4)),
                breeds=chance.random() < 0.15,
                line=chance.choice(("", "blue")),
            )
        )
    exposures = [
        Exposure(
            animal(count),
            chance.choice((None, animal(count), animal(count))),
            day(),
            day(0.4),
            chance.random() < 0.5,
        )
        for _ in range(chance.randint(0, 5))
    ]
    virgins = [VirginFact(animal(count), chance.choice(("yes", "no")), dt.date(2024, 1, 1)) for _ in range(2)]
    return lots, exposures, virgins


def everything_said(rounds: int) -> dict[str, set[str]]:
    """Sentences of many lots, by the kind they are."""
    said: dict[str, set[str]] = {
        kind: set() for kind in ("reason", "gap", "parentage", "arrival", "sentence", "whence")
    }
    chance = random.Random(20250602)
    for number in range(rounds):
        lots, exposures, virgins = (*mantids(), []) if number == 0 else some_lots(chance)
        derived = derive_all(lots, exposures, virgins, SPECIES)
        by_id = {lot.lot_id: lot for lot in lots}
        for lot in lots:
            sheet = provenance(lot.lot_id, by_id, derived)
            said["sentence"].add(provenance_sentence(sheet))
            row = sheet.rows[0]
            said["reason"].update(row.reasons)
            said["gap"].update(row.gaps)
            said["parentage"].update(row.parents)
            said["arrival"].add(row.came)
            said["whence"].add(row.whence)
    return said


@pytest.fixture(scope="module")
def said() -> dict[str, set[str]]:
    return everything_said(1500)


SAYS = {
    "reason": recorded.reason,
    "gap": recorded.gap,
    "parentage": recorded.parentage,
    "arrival": recorded.arrival,
    "sentence": recorded.paper_sentence,
    "whence": recorded.whence,
}
NAMES = re.compile("Ombrel: so, and so|note 7|a: b|blue")


@pytest.mark.parametrize("kind", SAYS)
def test_whatever_the_derivation_says_is_said_in_german(kind: str, said: dict[str, set[str]]) -> None:
    left = {text: SAYS[kind](text, GERMAN) for text in said[kind]}

    assert len(left) > 10
    assert {text: german for text, german in left.items() if not is_german(NAMES.sub("", german))} == {}


def test_codes_and_figures_survive_the_translation(said: dict[str, set[str]]) -> None:
    for text in said["reason"] | said["gap"] | said["parentage"]:
        german = recorded.reason(text, GERMAN) if text in said["reason"] else recorded.parentage(text, GERMAN)
        german = recorded.gap(text, GERMAN) if text in said["gap"] else german
        assert sorted(re.findall(r"L\d\d|F\d+", text)) == sorted(re.findall(r"L\d\d|F\d+", german)), (text, german)


def test_every_pattern_of_a_reason_is_in_use(said: dict[str, set[str]]) -> None:
    """A pattern that nothing fits any more would hide that the ledger now says it otherwise."""
    never = {
        pattern
        for pattern in (*sentences.REASONS, *sentences.GAPS, *sentences.PARENTS)
        if not any(
            recorded._expression(pattern).fullmatch(text) for text in said["reason"] | said["gap"] | said["parentage"]
        )
    }

    assert never == set()


def test_a_changed_sentence_of_the_ledger_is_noticed() -> None:
    """The control: the check above fails for a sentence no pattern knows."""
    assert not is_german(recorded.reason("L01: no mother is on our records, so nothing is known.", GERMAN))


def test_the_ending_is_the_ledgers() -> None:
    assert sentences.ENDING == ENDING

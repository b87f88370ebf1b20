"""Origin rules against published definitions.

- CITES Notification to the Parties No. 1998/14 (Geneva, 31 March 1998), paragraphs 2 and 3: animals born in a
  controlled environment count as F1 or later only "as a result of a mating that occurred in a controlled environment";
  "a specimen born in a controlled environment from a female taken in the wild when she was pregnant" stays wild.
- CITES Res. Conf. 10.16 (Rev.), definitions: first-generation offspring (F1) have parents "at least one of which was
  conceived in or taken from the wild"; offspring of second and later generations have parents that were themselves
  produced in a controlled environment.
- 50 CFR 23.63(c)(1) and (2): parents mated in a controlled environment; without mating, the parent was in one when
  development of the offspring began.
The ledger's labels are its own and no source code is ever derived; these tests only hold it to the same facts.
"""

from __future__ import annotations

import pytest

from ledger.origin.derive import Derived
from ledger.origin.facts import AnimalRef, VirginFact
from ledger.origin.rules import Code, Origin, label, may_claim
from tests.ledger.origin.story import came, day, derive, laid, pair, short

FEMALE, MALE, YOUNG = AnimalRef(1), AnimalRef(2), 9


def young_of_a_wild_female(*, adult: bool, virgin: bool = False) -> Derived:
    facts = [VirginFact(FEMALE, "yes", day("2024-01-01"))] if virgin else []
    return derive([came(1, reared=adult), came(2), laid(YOUNG, FEMALE)], [pair(FEMALE, MALE)], facts)[YOUNG]


def test_notification_1998_14_young_of_a_female_that_mated_in_the_wild_are_not_captive_bred() -> None:
    found = young_of_a_wild_female(adult=True)

    assert label(found.origin) == "hatched in captivity, parent mated in the wild"
    assert found.origin.generation == 0
    assert may_claim(Origin(Code.CB, 1), found.origin) is not None
    assert may_claim(Origin(Code.CBU), found.origin) is not None


@pytest.mark.parametrize(("adult", "virgin"), [(False, False), (True, True)])
def test_notification_1998_14_young_of_a_mating_in_captivity_are_f1_though_both_parents_are_wild(
    adult: bool, virgin: bool
) -> None:
    assert short(young_of_a_wild_female(adult=adult, virgin=virgin)) == "F1"


FAMILY = [came(1), came(2), laid(3, AnimalRef(1)), laid(4, AnimalRef(1))]
PAIRED = [pair(FEMALE, MALE)]


def young_of(mother: int, father: int) -> str:
    """1 and 2 are wild, 3 and 4 their young, 5 the young of 3 and 4, 6 hatched from a wild-mated female."""
    wild_mated = [came(10, on="2024-05-01", reared=True), laid(6, AnimalRef(10))]
    grandchild = laid(5, AnimalRef(3), on="2024-12-01")
    lot = laid(YOUNG, AnimalRef(mother), on="2025-06-01")
    exposures = [
        *PAIRED,
        pair(AnimalRef(3), AnimalRef(4), "2024-11-20", "2024-11-21"),
        pair(AnimalRef(mother), AnimalRef(father), "2025-05-20", "2025-05-21"),
    ]
    return short(derive([*FAMILY, *wild_mated, grandchild, lot], exposures)[YOUNG])


@pytest.mark.parametrize(
    ("mother", "father", "generation"),
    [
        (1, 2, "F1"),
        (1, 3, "F1"),
        (3, 1, "F1"),
        (5, 1, "F1"),
        (6, 6, "F1"),
        (6, 5, "F1"),
        (3, 4, "F2"),
        (5, 3, "F2"),
    ],
    ids=[
        "wild x wild",
        "wild x captive",
        "captive x wild",
        "second generation x wild",
        "both conceived in the wild, hatched here",
        "conceived in the wild x second generation",
        "captive x captive",
        "F2 x F1",
    ],
)
def test_res_conf_10_16_one_parent_conceived_in_or_taken_from_the_wild_makes_f1_and_only_none_makes_f2(
    mother: int, father: int, generation: str
) -> None:
    assert young_of(mother, father) == generation


def test_50_cfr_23_63_without_mating_the_parent_must_have_been_here_when_development_began() -> None:
    def young(came_adult_on: str | None) -> str:
        wild = came(1, on=came_adult_on or "2024-01-01", reared=came_adult_on is not None, species=2)
        return short(derive([wild, laid(YOUNG, FEMALE, on="2024-06-01", species=2)])[YOUNG])

    assert young("2024-05-20") == "CH", "may have begun before she came"
    assert young("2024-01-01") == "F1", "long enough here"
    assert young(None) == "F1", "came before she was grown"


def test_no_source_letter_of_a_permit_is_ever_derived() -> None:
    letters = {"W", "R", "D", "A", "C", "F", "U", "I", "O", "X", "Y"}

    assert letters.isdisjoint(code.value for code in Code)

"""The origin list: labels, the order of claims, merging, and what a keeper may record."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.errors import BadInput
from ledger.origin.rules import (
    WILD_ORIGIN,
    Code,
    Origin,
    country_code,
    evidence_in_words,
    label,
    lowered,
    may_claim,
    may_record,
    merged,
    read_claim,
    strength,
)


def bred(generation: int, *, at_least: bool = False, evidence: int = 3, stated: bool = False) -> Origin:
    return Origin(Code.CB, generation, at_least, evidence, stated)


@st.composite
def origins(draw: st.DrawFn) -> Origin:
    code = draw(st.sampled_from(list(Code)))
    captive = code is Code.CB
    return Origin(
        code,
        draw(st.integers(1, 5)) if captive else None,
        draw(st.booleans()) if captive else False,
        evidence=draw(st.integers(0, 3)),
        stated=draw(st.booleans()),
        doubted=draw(st.booleans()),
    )


def said(origin: Origin) -> tuple[Code, int | None, bool]:
    return origin.code, origin.generation, origin.at_least


# --- labels ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("origin", "words"),
    [
        (Origin(Code.WC), "wild-collected"),
        (Origin(Code.WR), "reared from wild-collected egg or young"),
        (Origin(Code.CH), "hatched in captivity, parent mated in the wild"),
        (Origin(Code.CF), "farmed, as stated by the supplier"),
        (bred(2), "captive bred, F2 by our records"),
        (bred(1, at_least=True), "captive bred, F1 or later by our records"),
        (bred(1, evidence=2, stated=True), "captive bred, F1, stated, not derived"),
        (Origin(Code.CBU), "captive bred, generation not known"),
        (Origin(Code.MIX), "mixed group that includes wild-origin animals"),
        (Origin(Code.UNK), "not known"),
    ],
)
def test_each_origin_is_printed_in_full_words(origin: Origin, words: str) -> None:
    assert label(origin) == words


@given(origins())
def test_a_bare_code_is_never_printed_and_captive_bred_always_carries_what_is_known_of_its_generation(
    origin: Origin,
) -> None:
    words = label(origin)

    assert not re.search(r"\b(CB|CBU|WC|WR|CH|CF|MIX|UNK)\b", words)
    if origin.code is Code.CB:
        assert f"F{origin.generation}" in words
    assert ("captive bred" in words) == (origin.code in (Code.CB, Code.CBU))


def test_evidence_is_printed_in_words() -> None:
    words = [evidence_in_words(Origin(Code.WC, evidence=grade)) for grade in range(4)]

    assert words == ["none", "supplier's or keeper's statement", "supplier's document", "own records"]


def test_evidence_lowered_for_an_unexplained_count_does_not_pretend_to_a_document() -> None:
    own_but_doubted = Origin(Code.CB, 2, evidence=2, doubted=True)

    assert evidence_in_words(own_but_doubted) != "supplier's document"
    assert "unexplained count" in evidence_in_words(own_but_doubted)


@pytest.mark.parametrize(
    ("code", "generation", "at_least"),
    [(Code.CB, None, False), (Code.CB, 0, False), (Code.CBU, 1, False), (Code.WC, 1, False), (Code.WC, None, True)],
)
def test_an_origin_that_contradicts_itself_cannot_be_made(code: Code, generation: int | None, at_least: bool) -> None:
    with pytest.raises(ValueError, match=str(code)):
        Origin(code, generation, at_least)


# --- rule 9: strength of claim --------------------------------------------------------------------


def test_rule_9_claims_are_ordered_from_fn_down_to_not_known() -> None:
    order = [
        bred(3),
        bred(2),
        bred(2, at_least=True),
        bred(1),
        bred(1, at_least=True),
        Origin(Code.CBU),
        Origin(Code.CF),
        Origin(Code.UNK),
    ]

    places = [strength(origin) for origin in order]

    assert None not in places
    assert places == sorted(places, reverse=True)  # type: ignore[type-var]
    assert len(set(places)) == len(places)


def test_rule_9_a_weaker_claim_is_allowed_and_a_stronger_one_is_refused_with_its_reason() -> None:
    assert may_claim(bred(1), bred(2)) is None
    assert may_claim(Origin(Code.UNK), bred(2)) is None

    reason = may_claim(bred(2), bred(1))

    assert reason is not None
    assert "F2" in reason
    assert "F1" in reason


def test_rule_9_an_exact_generation_is_refused_where_only_a_lower_bound_is_known() -> None:
    assert may_claim(bred(1), bred(1, at_least=True)) is not None
    assert may_claim(bred(1, at_least=True), bred(1)) is None


@pytest.mark.parametrize("wild", [Code.WC, Code.WR, Code.CH, Code.MIX])
def test_rule_9_wild_origin_may_be_lowered_only_to_mixed_or_not_known(wild: Code) -> None:
    derived = Origin(wild)
    allowed = {code for code in Code if may_claim(Origin(code, 1 if code is Code.CB else None), derived) is None}

    assert allowed == {wild, Code.MIX, Code.UNK}


@pytest.mark.parametrize("captive", [bred(2), Origin(Code.CBU, evidence=3), Origin(Code.CF, evidence=3)])
def test_rule_9_captive_animals_may_not_be_called_wild(captive: Origin) -> None:
    assert all(may_claim(Origin(code), captive) is not None for code in WILD_ORIGIN)


def test_rule_9_better_evidence_than_there_is_may_not_be_claimed() -> None:
    assert may_claim(bred(1, evidence=3), bred(1, evidence=2)) is not None
    assert may_claim(bred(1, evidence=2), bred(1, evidence=3)) is None


def test_rule_9_a_stated_generation_stays_marked_as_stated() -> None:
    stated = bred(1, evidence=2, stated=True)

    assert may_claim(bred(1, evidence=2), stated) is not None
    assert may_claim(stated, stated) is None


@given(origins(), origins(), origins())
def test_rule_9_what_may_be_said_of_a_weaker_claim_may_be_said_of_the_stronger(
    low: Origin, middle: Origin, high: Origin
) -> None:
    if may_claim(low, middle) is None and may_claim(middle, high) is None:
        assert may_claim(low, high) is None


def test_rule_9_lowering_needs_a_note_and_raising_needs_a_document() -> None:
    derived = bred(2)

    assert may_record(bred(1), derived, documents="", note="sire in doubt") is None
    assert may_record(bred(1), derived, documents="", note=" ") is not None
    assert may_record(bred(3), derived, documents="studbook 12", note="") is None
    assert may_record(bred(3), derived, documents=" ", note="I am sure") is not None


def test_rule_9_lowering_keeps_the_evidence_there_was() -> None:
    assert lowered(bred(2, evidence=2), bred(1, evidence=3)) == bred(1, evidence=2)
    with pytest.raises(ValueError, match="not weaker"):
        lowered(bred(1), bred(2))


# --- rule 7: merging ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("group", "together"),
    [
        ((Origin(Code.WC), Origin(Code.WC)), Origin(Code.WC)),
        ((bred(2), bred(2)), bred(2)),
        ((bred(3), bred(2)), bred(2, at_least=True)),
        ((bred(2), Origin(Code.CH, evidence=3)), Origin(Code.MIX, evidence=3)),
        ((Origin(Code.WC), Origin(Code.WR)), Origin(Code.MIX)),
        ((Origin(Code.UNK), Origin(Code.WC)), Origin(Code.MIX)),
        ((bred(2), Origin(Code.UNK, evidence=3)), Origin(Code.UNK, evidence=3)),
        ((Origin(Code.CBU), Origin(Code.CF)), Origin(Code.UNK)),
        ((bred(2), Origin(Code.CBU, evidence=3)), Origin(Code.CBU, evidence=3)),
        ((bred(2, evidence=3), bred(2, evidence=1)), bred(2, evidence=1)),
        ((bred(2, stated=True), bred(2)), bred(2, stated=True)),
    ],
)
def test_rule_7_a_merged_group_is_called_by_what_holds_for_all_of_it(
    group: tuple[Origin, Origin], together: Origin
) -> None:
    assert merged(group) == together


@given(origins(), origins(), origins())
def test_rule_7_merging_does_not_depend_on_order_or_grouping(one: Origin, two: Origin, three: Origin) -> None:
    at_once = merged((one, two, three))

    assert at_once == merged((three, one, two))
    assert at_once == merged((merged((one, two)), three)) == merged((one, merged((two, three))))
    assert merged((one, one)) == one


@given(st.lists(origins(), min_size=1, max_size=5))
def test_rule_7_merging_never_strengthens_what_may_be_said_of_any_part(group: list[Origin]) -> None:
    together = merged(group)

    for part in group:
        if strength(part) is None:
            assert together.code in (part.code, Code.MIX)
        elif strength(together) is not None:
            assert strength(together) <= strength(part)  # type: ignore[operator]
        assert together.evidence <= part.evidence


# --- what is typed --------------------------------------------------------------------------------


def test_a_claim_is_read_by_its_code() -> None:
    assert said(read_claim("cb", 2)) == (Code.CB, 2, False)
    assert said(read_claim("WC")) == (Code.WC, 0, False)


@pytest.mark.parametrize(
    ("code", "generation", "field"),
    [("F1", None, "code"), ("CB", None, "generation"), ("CB", 0, "generation"), ("CBU", 2, "generation")],
)
def test_a_claim_that_cannot_be_is_refused_naming_its_field(code: str, generation: int | None, field: str) -> None:
    with pytest.raises(BadInput) as refusal:
        read_claim(code, generation)

    assert refusal.value.field == field


@pytest.mark.parametrize(("typed", "kept"), [("XA", "XA"), ("xz", "XZ"), (" fr ", "FR"), ("", "")])
def test_country_codes_have_the_form_of_iso_3166_user_assigned_ones_included(typed: str, kept: str) -> None:
    assert country_code(typed) == kept


@pytest.mark.parametrize("typed", ["F", "FRA", "X1", "É1", "ÄÖ", "F R", "\u212aR"])
def test_anything_else_is_not_a_country_code(typed: str) -> None:
    with pytest.raises(BadInput):
        country_code(typed)

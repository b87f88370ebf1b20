"""Text made clean on the way in and harmless on the way out."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.errors import BadInput, Refused
from ledger.text import clean, clean_block, clean_code, count_words, quoted, safe_name, show

BIDI_CONTROLS = [
    *"\u061c\u200e\u200f",
    *"\u202a\u202b\u202c\u202d\u202e",
    *"\u2066\u2067\u2068\u2069",
]
HOSTILE = [
    "\x00",
    "\x07",
    "\x1b",
    "\x7f",
    "\x85",
    "\x9b",
    "\u2028",
    "\u2029",
    "\ud800",
    "\ue000",
    "\u0378",
    "\ufeff",
    *BIDI_CONTROLS,
]


def code_points(character: str) -> str:
    return f"U+{ord(character):04X}"


@pytest.mark.parametrize(
    "text",
    [
        "Müller",
        "O'Brien [wholesale]",
        "日本",
        "[/b]",
        "=1+1",
        "../..",
        "\U0001f468\u200d\U0001f469\u200d\U0001f467",
        "Ombrel Leaf & Litter",
    ],
)
def test_honest_text_is_kept_to_the_letter(text: str) -> None:
    assert clean(text, limit=80, field="name") == text


@pytest.mark.parametrize("character", HOSTILE, ids=code_points)
def test_characters_that_can_steer_or_deceive_are_refused(character: str) -> None:
    with pytest.raises(BadInput, match=code_points(character).replace("+", r"\+")) as refusal:
        clean(f"Wren{character}Oda", limit=80, field="buyer")

    assert refusal.value.field == "buyer"
    assert refusal.value.facts["position"] == 5
    assert refusal.value.sentence.isprintable()


@pytest.mark.parametrize("character", ["\t", "\n", "\r"])
def test_a_line_holds_no_tab_or_line_end_within(character: str) -> None:
    with pytest.raises(BadInput):
        clean(f"Wren{character}Oda", limit=80, field="buyer")


def test_ends_are_stripped_and_the_rest_is_composed() -> None:
    assert clean(" \tMu\u0308ller\u00a0\r\n", limit=80, field="name") == "Müller"
    assert clean(" \n", limit=80, field="name") == ""


def test_length_counts_after_composing_and_is_never_cut() -> None:
    assert clean("e\u0301" * 5, limit=5, field="name") == "é" * 5
    with pytest.raises(BadInput, match="6 characters long and 5 is the most"):
        clean("é" * 6, limit=5, field="name")


def test_a_field_of_two_words_reads_as_two_words() -> None:
    with pytest.raises(BadInput, match="The paid on"):
        clean("\x00", limit=5, field="paid_on")


def test_a_note_keeps_its_lines_with_one_kind_of_line_end() -> None:
    assert clean_block("\nfed\r\nmisted\rmoved\n", limit=80, field="note") == "fed\nmisted\nmoved"


@pytest.mark.parametrize("character", [*HOSTILE, "\t"], ids=code_points)
def test_a_note_refuses_what_a_line_refuses(character: str) -> None:
    with pytest.raises(BadInput):
        clean_block(f"fed{character}misted", limit=80, field="note")


@given(st.text(max_size=40))
def test_cleaning_twice_changes_nothing_and_cleaned_text_is_shown_as_it_is(text: str) -> None:
    try:
        once = clean(text, limit=60, field="name")
    except Refused:
        return
    assert clean(once, limit=60, field="name") == once
    assert show(once) == once
    assert unicodedata.is_normalized("NFC", once)


@given(st.text())
def test_what_is_shown_holds_nothing_that_steers_a_terminal(text: str) -> None:
    shown_text = show(text)

    assert len(shown_text) == len(text)
    assert not {unicodedata.category(character) for character in shown_text} & {"Cc", "Cs", "Zl", "Zp"}
    assert not set(shown_text) & set(BIDI_CONTROLS)


def test_showing_marks_what_it_replaced() -> None:
    assert show("a\x1b[31mb") == "a\ufffd[31mb"
    assert show("two\nlines") == "two lines"
    assert show("[/b] Müller") == "[/b] Müller"


def test_a_quotation_is_short_and_harmless() -> None:
    assert quoted("P08") == '"P08"'
    assert quoted("\x1b" * 100) == '"' + "\ufffd" * 39 + '…"'


@pytest.mark.parametrize(
    ("typed", "code"),
    [("p08", "P08"), (" 07 ", "07"), ("h-12.a", "H-12.A"), ("a", "A"), ("x" * 20, "X" * 20)],
)
def test_codes_are_kept_in_capitals(typed: str, code: str) -> None:
    assert clean_code(typed) == code


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "P08/07",
        "P 08",
        "P08.",
        "-P08",
        "..",
        "P_8",
        "É1",
        "ß",
        "\u017f1",
        "\uff30",
        "P\x00",
        "x" * 21,
        "=1",
    ],
)
def test_other_codes_are_refused(typed: str) -> None:
    with pytest.raises(BadInput) as refusal:
        clean_code(typed, field="lot")

    assert refusal.value.field == "lot"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Quillmere Loft", "quillmere-loft"),
        ("Käfer & Größe", "kafer-grosse"),
        ("2025-12-31", "2025-12-31"),
        ("CON", "con-file"),
        ("nul", "nul-file"),
        ("LPT1", "lpt1-file"),
        ("../..", "unnamed"),
        ("/etc/passwd", "etc-passwd"),
        ("..\\..\\x", "x"),
        (".hidden", "hidden"),
        ("-rf", "rf"),
        ("a\x00b\nc", "a-b-c"),
        ("", "unnamed"),
        ("日本", "unnamed"),
        ("name. ", "name"),
    ],
)
def test_file_names_are_tamed(text: str, name: str) -> None:
    assert safe_name(text) == name


@given(st.text())
def test_any_text_gives_a_plain_file_name(text: str) -> None:
    name = safe_name(text)

    assert 1 <= len(name) <= 85
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-_")
    assert name[0] not in "-_"
    assert safe_name(name) == name


def test_counts_take_their_noun() -> None:
    assert count_words(1, "larva", "larvae") == "1 larva"
    assert count_words(3, "larva", "larvae") == "3 larvae"
    assert count_words(0, "larva", "larvae") == "0 larvae"

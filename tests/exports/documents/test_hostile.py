"""Text nobody expects on a paper: it is printed, or the keeper is told that it cannot be."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

import pytest

from exports.documents import fonts
from exports.documents.as_pdf import as_pdf
from exports.documents.as_text import WIDTH, as_text, cells
from exports.documents.house import House
from exports.documents.labels import Label, labels_pdf
from exports.documents.paper import Block, Column, Document, Facts, Letterhead, Row, Table, Text, ToFill, texts_of
from exports.documents.sheets import SHEETS
from exports.documents.write import write
from tests.exports.documents.pages import codes, picture, text_of

LONG = "Ph'nglui" * 25
"""200 characters without a space."""
PRINTED = {
    "greek": "Ελληνικά Ζώα",
    "cyrillic": "Жуки и палочники",
    "diacritics": "Nguyễn Đặng Łukasz Ærø",
    "signs": "½ kg – “ready”… 18 °C ♂♀ → ✓",
    "markup": "<b>bold</b> & <br/> </para> &amp; <img src='file:///etc/passwd'/>",
    "formula": '=HYPERLINK("http://localhost","pay")',
    "percent": "100 % of %(name)s and %s",
    "backslash": "\\( \\) \\n ) Tj ET (",
    "long": LONG,
}
WARNED = {
    "chinese": "独角仙",
    "emoji": "Beetles 🪲🦗",
    "hebrew": "חנות חיפושיות",
    "arabic": "متجر الخنافس",
    "thai": "ด้วงกว่าง",
}
STEERING = "a\x1b[31mb\x00c\u202edes\x07\u2028e\ufefff\u2066g\x9bh"


def paper(house: House, text: str) -> Document:
    """A document with the same text in every place."""
    blocks: tuple[Block, ...] = (
        Text(text, "title"),
        Facts(((text, text), ("Name", text))),
        Text(text, "heading"),
        Table(
            (Column(text[:20], 1), Column("What", 3), Column("EUR", 1, figure=True)),
            (Row(("1.", text, "12.00"), (text, text)), Row(("", text, "1.00"), strong=True, rule=True)),
            wide=1,
        ),
        ToFill((text[:40],)),
        Text(text, "small"),
    )
    return Document("hostile", text, house.language, Letterhead(text, (text,)), blocks)


def bare(text: str) -> str:
    """Without spaces: a long word is broken at the end of a line."""
    return "".join(text.split())


@pytest.mark.parametrize("name", PRINTED)
def test_text_the_font_has_is_printed_letter_for_letter(name: str, house: House) -> None:
    document = paper(house, PRINTED[name])

    pdf, text = bare(text_of(as_pdf(document))), bare(as_text(document))

    # Where two columns both have several lines, the lines of a long word lie apart.
    assert pdf.count(bare(PRINTED[name])) >= (4 if name == "long" else 6)
    assert text.count(bare(PRINTED[name])) >= (4 if name == "long" else 6)
    assert fonts.cautions(texts_of(document)) == ()


@pytest.mark.parametrize("name", WARNED)
def test_text_that_cannot_be_printed_as_written_is_warned_of_and_whole_in_the_text(name: str, house: House) -> None:
    document = paper(house, WARNED[name])

    cautions = fonts.cautions(texts_of(document))

    assert cautions
    assert as_pdf(document)
    assert WARNED[name] in as_text(document)
    if name in ("chinese", "emoji", "thai"):
        missing = next(letter for letter in WARNED[name] if ord(letter) not in fonts.load())
        assert unicodedata.name(missing).lower() in " ".join(cautions)
        assert "\ufffd" in text_of(as_pdf(document))
    else:
        assert "from right to left" in " ".join(cautions)


def test_a_caution_names_a_few_letters_and_counts_the_rest() -> None:
    (caution,) = fonts.cautions(["一二三四五六七八九十"])

    assert caution.count("U+") == 6
    assert "and 4 more" in caution


def test_nothing_on_a_paper_steers_a_terminal_or_a_printer(house: House) -> None:
    document = paper(house, STEERING)

    for text in (as_text(document), text_of(as_pdf(document))):
        steering = {letter for letter in text if unicodedata.category(letter) in ("Cc", "Cf", "Zl")} - {"\n"}
        assert steering == set()
    assert "a\ufffd[31mb\ufffdc\ufffddes" in as_text(document)


@pytest.mark.parametrize(
    "text", [LONG, "x" * 2000, "独" * 300, " ".join(["word"] * 400)], ids=["name", "x", "wide", "note"]
)
def test_no_length_of_text_breaks_a_paper(text: str, house: House) -> None:
    document = paper(house, text)

    assert as_pdf(document).startswith(b"%PDF")
    assert max(map(cells, as_text(document).split("\n"))) <= WIDTH
    assert bare(as_text(document)).count(bare(text)[:6]) > 6


def test_a_table_of_many_rows_and_a_row_longer_than_a_page_are_printed_whole(house: House) -> None:
    rows = tuple(Row((f"row{number}", "word " * 400 if number == 50 else "", "1.00")) for number in range(300))
    columns = (Column("A", 1), Column("B", 2), Column("EUR", 1, figure=True))

    text = text_of(as_pdf(replace(paper(house, "t"), blocks=(Table(columns, rows),))))

    assert [number for number in range(300) if f"row{number}" not in text] == []
    assert text.count("word") == 400


def test_an_empty_paper_is_still_one(house: House) -> None:
    empty = Document("empty", "", house.language, Letterhead(""), (Table((Column("", 1),), ()), Facts(()), Text("")))

    assert as_pdf(empty).startswith(b"%PDF")
    assert as_text(empty).strip(" -\n") == ""


@pytest.mark.parametrize("text", [*PRINTED.values(), *WARNED.values(), STEERING], ids=[*PRINTED, *WARNED, "steering"])
def test_a_label_with_any_text_can_still_be_scanned(text: str, house: House) -> None:
    pdf = labels_pdf([Label("P08/07", (text, text))], SHEETS["a4 5x13"], house.language)

    assert [one.text for one in codes(picture(pdf))] == ["P08/07"]


def test_the_keeper_is_told_when_the_file_is_written(house: House, tmp_path) -> None:  # type: ignore[no-untyped-def]
    told, silent = (write(paper(house, text), tmp_path) for text in ("独角仙", "Ærø"))
    as_plain_text = write(paper(house, "独角仙"), tmp_path, "text")

    assert "The PDF cannot print U+4ED9" in " ".join(told.cautions)
    assert silent.cautions == as_plain_text.cautions == ()
    assert "独角仙" in as_plain_text.path.read_text(encoding="utf-8")

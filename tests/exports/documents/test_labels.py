"""Labels: read by a scanner from the printed page, and measured on it in millimetres."""

from __future__ import annotations

import pytest

from exports.documents.house import House
from exports.documents.labels import LEAST_MODULE, Label, labels, labels_pdf, labels_text
from exports.documents.sheets import SHEETS, Sheet, read_sheet, read_shift
from ledger.errors import BadInput, NotFound
from ledger.ledger import Ledger
from tests.exports.documents.pages import Grey, codes, ink_box, page_count, page_size_mm, picture, text_of

LINES = ("sun beetle", "Pachnoda marginata", "captive bred, F2 or later by our records", "started 3 Apr 2025")
CLOSE = 0.1
"""Millimetres: two points of the picture, and the line that is drawn."""


def many(count: int) -> list[Label]:
    return [Label(f"P{number:02}/A{number % 7}", LINES) for number in range(1, count + 1)]


@pytest.mark.parametrize("name", SHEETS)
def test_every_label_of_a_full_sheet_is_read_and_says_its_own_code(name: str, house: House) -> None:
    sheet = SHEETS[name]
    made = many(sheet.per_page)

    pdf = labels_pdf(made, sheet, house.language)

    assert page_size_mm(pdf) == pytest.approx(sheet.page, abs=0.05)
    found = codes(picture(pdf))
    assert [one.text for one in found] == [one.code for one in made]
    for number, one in enumerate(found):
        left, top = sheet.place(number)
        assert left < one.left < one.right < left + sheet.label[0]
        assert top < one.top < one.bottom < top + sheet.label[1]
    for one in made:
        assert one.code in text_of(pdf)


@pytest.mark.parametrize("name", SHEETS)
def test_the_edges_of_the_labels_are_where_the_sheet_has_them(name: str, house: House) -> None:
    sheet = SHEETS[name]
    grey = picture(labels_pdf([], sheet, house.language, outline=True))

    for number in range(sheet.per_page):
        left, top = sheet.place(number)
        right, bottom = left + sheet.label[0], top + sheet.label[1]
        for x in (left, right):
            assert edge(grey, x, top + 3, across=True) == pytest.approx(x, abs=CLOSE)
        for y in (top, bottom):
            assert edge(grey, left + 3, y, across=False) == pytest.approx(y, abs=CLOSE)


def edge(grey: Grey, x: float, y: float, *, across: bool) -> float:
    """Where the line near a place lies, mm: of an upright line from the left, of a level one from the top."""
    around = (x - 0.4, y, x + 0.4, y + 0.5) if across else (x, y - 0.4, x + 0.5, y + 0.4)
    left, top, right, bottom = ink_box(grey, around)
    return (left + right) / 2 if across else (top + bottom) / 2


def test_an_edge_that_is_off_is_noticed(house: House) -> None:
    """The control of the measurement: half a millimetre is seen."""
    sheet = SHEETS["a4 3x7"]
    grey = picture(labels_pdf([], sheet, house.language, outline=True, shift=(0.5, 0)))
    left, top = sheet.place(0)

    seen = edge(grey, left + 0.3, top + 3, across=True)

    assert seen == pytest.approx(left + 0.5, abs=CLOSE)
    assert seen != pytest.approx(left, abs=CLOSE)


def test_the_whole_print_is_shifted_by_the_millimetres_asked_for(house: House) -> None:
    sheet, made = SHEETS["a4 3x7"], many(4)
    straight, shifted = (
        codes(picture(labels_pdf(made, sheet, house.language, shift=shift))) for shift in ((0, 0), (1.5, -2))
    )

    for one, other in zip(straight, shifted, strict=True):
        assert other.left - one.left == pytest.approx(1.5, abs=CLOSE)
        assert other.top - one.top == pytest.approx(-2, abs=CLOSE)


def test_a_sheet_that_was_begun_is_used_from_its_first_free_label(house: House) -> None:
    sheet, made = SHEETS["a4 3x8"], many(24)

    pdf = labels_pdf(made, sheet, house.language, start=23)

    assert page_count(pdf) == 2
    first, second = (codes(picture(pdf, number)) for number in (0, 1))
    assert [one.text for one in first] == [one.code for one in made[:2]]
    assert [one.text for one in second] == [one.code for one in made[2:]]
    left, top = sheet.place(22)
    assert left < first[0].left < left + sheet.label[0]
    assert top < first[0].top < top + sheet.label[1]


@pytest.mark.parametrize("name", SHEETS)
def test_no_square_of_a_code_is_too_fine_to_read(name: str, house: House) -> None:
    """Twenty-one squares across in the smallest code, plus its white edge."""
    (found,) = codes(picture(labels_pdf(many(1), SHEETS[name], house.language)))

    assert (found.right - found.left) / 21 >= LEAST_MODULE - 0.01


def test_the_longest_codes_are_read_on_the_smallest_sheet_or_refused(house: House) -> None:
    longest = Label("A" * 20 + "/" + "Z9" * 10, LINES)
    pdf = labels_pdf([longest], SHEETS["a4 5x13"], house.language)

    assert [one.text for one in codes(picture(pdf))] == [longest.code]
    with pytest.raises(BadInput, match="too fine to read on a label of 20x10 mm"):
        labels_pdf([longest], read_sheet("210x297 3x8 20x10 5,5 25,12"), house.language)


def test_what_does_not_fit_is_left_out_and_nothing_is_printed_beside_the_label(house: House) -> None:
    sheet = SHEETS["a4 5x13"]
    long = Label("P08", ("giant prickly stick insect " * 8, "W" * 200, *LINES * 5))
    grey = picture(labels_pdf([long], sheet, house.language, start=33))
    left, top = sheet.place(32)

    seen = ink_box(grey, (0, 0, *sheet.page))

    assert left <= seen[0]
    assert top <= seen[1]
    assert seen[2] <= left + sheet.label[0] + CLOSE
    assert seen[3] <= top + sheet.label[1] + CLOSE


def test_the_same_labels_give_the_same_bytes(house: House) -> None:
    first, second = (labels_pdf(many(30), SHEETS["a4 3x8"], house.language) for _ in range(2))

    assert first == second
    assert first != labels_pdf(many(29), SHEETS["a4 3x8"], house.language)


# --- which labels -----------------------------------------------------------------------------------------------------


def test_labels_are_those_of_the_lots_and_tubs_asked_for(papers: Ledger, house: House) -> None:
    def asked(*wanted: str, tubs: bool = False) -> list[str]:
        return [one.code for one in labels(papers, wanted, house.language, tubs=tubs)]

    assert asked() == ["H01", "P01", "P02", "P03", "T01"]
    assert asked("p02", "T01/a2") == ["P02", "T01/A2"]
    assert asked(tubs=True) == ["H01", "P01", "P02", "P03", "T01/A1", "T01/A2"]
    for bad in ("P99", "T01/B9", "P02/", "P02/A1"):
        with pytest.raises(NotFound):
            asked(bad)


def test_a_label_says_the_animals_and_their_origin_in_the_language_asked_for(
    papers: Ledger, house: House, haus: House
) -> None:
    (english,), (german,) = (labels(papers, ["P03"], one.language) for one in (house, haus))

    assert english.lines[:2] == ("sun beetle", "Pachnoda marginata")
    assert english.lines[2] == papers.origin("P03").origin == "not known"
    assert german.lines[2] == "nicht bekannt"
    assert german.lines[3].startswith("Beginn ")
    assert labels_text([english]).startswith("P03\n  sun beetle\n  Pachnoda marginata\n  not known\n  started ")


# --- sheets -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHEETS)
def test_no_label_of_a_known_sheet_overlaps_another_or_leaves_the_page(name: str) -> None:
    sheet = SHEETS[name]
    boxes = [(*sheet.place(n), *sheet.label) for n in range(sheet.per_page)]

    for at, (left, top, width, height) in enumerate(boxes):
        assert left >= 0
        assert top >= 0
        assert left + width <= sheet.page[0] + 0.06
        assert top + height <= sheet.page[1] + 0.06
        for other_left, other_top, _, _ in boxes[at + 1 :]:
            assert abs(other_left - left) >= width - 1e-9 or abs(other_top - top) >= height - 1e-9


def test_a_sheet_may_be_described_in_millimetres(house: House) -> None:
    sheet = read_sheet("100x150 2x3  45x40 3.5,5 48,45")

    assert sheet == Sheet((100, 150), 2, 3, (45, 40), (3.5, 5), (48, 45))
    assert len(codes(picture(labels_pdf(many(6), sheet, house.language)))) == 6


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "a4",
        "a4 4x8",
        "210x297 3x8 70x37",
        "210x297 4x8 70x37 0,0.5 70,37",
        "210x297 3x9 70x37 0,0.5 70,37",
        "210x297 3x8 70x37 0,0.5 60,37",
        "210x297 0x8 70x37 0,0.5 70,37",
        "210x297 3x8 7x3 0,0.5 70,37",
        "9999x9999 3x8 70x37 0,0.5 70,37",
        "nanxinf 1x1 1x1 0,0 0,0",
    ],
)
def test_a_sheet_that_cannot_be_is_refused_in_one_sentence(bad: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_sheet(bad)
    assert "\n" not in str(refused.value)


def test_places_shifts_and_numbers_out_of_bounds_are_refused(house: House) -> None:
    for start in (0, 25, -1):
        with pytest.raises(BadInput, match="start at one from 1 to 24"):
            labels_pdf(many(1), SHEETS["a4 3x8"], house.language, start=start)
    with pytest.raises(BadInput, match="more than the 2000"):
        labels_pdf(many(2001), SHEETS["a4 3x8"], house.language)
    assert read_shift("0.5, -1") == (0.5, -1)
    for bad in ("", "1", "a,b", "21,0", "0;1", "nan,0"):
        with pytest.raises(BadInput):
            read_shift(bad)

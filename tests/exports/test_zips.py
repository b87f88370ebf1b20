"""Hostile files are refused by their figures, before anything of them is unpacked or believed."""

from __future__ import annotations

import contextlib
import struct
import zipfile
from pathlib import Path

import pytest

from exports.bring_in.reading import read_file
from exports.zips import ARCHIVE, WORKBOOK, Limits, content, open_zip
from ledger.errors import BadInput
from tests.exports.messy import bomb, ods, with_part, workbook

TABLE = [["Date", "Category", "Amount"], ["2025-01-14", "feed", 5]]
SHEET = "xl/worksheets/sheet1.xml"
ENTITY = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "feed"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'


def test_an_ordinary_workbook_is_read(tmp_path: Path) -> None:
    """The control: the same file without its trap."""
    book = read_file(workbook(tmp_path / "a.xlsx", TABLE))

    assert [row for _, row in book.sheets[0].rows] == [tuple(row) for row in TABLE]


def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = bomb(tmp_path / "bomb.xlsx")
    assert path.stat().st_size < 200_000

    def unpacking(*_: object, **__: object) -> None:
        raise AssertionError("it was unpacked")

    monkeypatch.setattr(zipfile.ZipFile, "open", unpacking)
    with pytest.raises(BadInput, match="would unpack to"):
        read_file(path)


def test_a_ratio_no_sheet_reaches_is_refused_even_when_it_is_not_large(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="would unpack to"):
        read_file(bomb(tmp_path / "bomb.xlsx", megabytes=20))


def test_a_part_that_lies_about_its_length_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "lie.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("a.txt", b"a" * 5_000)
    data = bytearray(path.read_bytes())
    for at in (data.index(b"PK\x03\x04") + 22, data.index(b"PK\x01\x02") + 24):
        data[at : at + 4] = struct.pack("<I", 10)
    path.write_bytes(data)

    with open_zip(path, WORKBOOK) as file, pytest.raises(BadInput):
        content(file, "a.txt")


@pytest.mark.parametrize("what", ["parts", "twice", "locked"])
def test_other_traps_are_refused(tmp_path: Path, what: str) -> None:
    path = tmp_path / "trap.zip"
    with (
        zipfile.ZipFile(path, "w") as file,
        pytest.warns(UserWarning, match="Duplicate name") if what == "twice" else _nothing(),
    ):
        for n in range(4):
            file.writestr("same.txt" if what == "twice" else f"{n}.txt", b"a")
    if what == "locked":
        data = bytearray(path.read_bytes())
        data[data.index(b"PK\x01\x02") + 8] |= 1
        path.write_bytes(data)

    with pytest.raises(BadInput):
        open_zip(path, Limits(1_000_000, 200, 3 if what == "parts" else 10))


@pytest.mark.parametrize("way", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA, 97])
@pytest.mark.parametrize("limits", [WORKBOOK, ARCHIVE])
def test_what_is_packed_in_another_way_is_refused(tmp_path: Path, way: int, limits: Limits) -> None:
    path = tmp_path / "other.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED if way == 97 else way) as file:
        file.writestr("a.txt", b"a" * 500)
    if way == 97:
        data = bytearray(path.read_bytes())
        struct.pack_into("<H", data, data.index(b"PK\x01\x02") + 10, way)
        path.write_bytes(data)

    with pytest.raises(BadInput, match="packed in a way no sheet or archive is"):
        open_zip(path, limits)


def _nothing():  # type: ignore[no-untyped-def]
    return contextlib.nullcontext()


@pytest.mark.parametrize("part", [SHEET, "xl/workbook.xml", "[Content_Types].xml"])
def test_xml_that_brings_entities_is_refused(tmp_path: Path, part: str) -> None:
    path = workbook(tmp_path / "a.xlsx", TABLE)
    with zipfile.ZipFile(path) as file:
        text = file.read(part)
    head = text[: text.index(b"?>") + 2] if text.startswith(b"<?xml") else b""

    with_part(path, part, (head, ENTITY) if head else (text[:1], ENTITY + text[:1]))

    with pytest.raises(BadInput, match="document type"):
        read_file(path)


def test_an_ods_that_brings_entities_is_refused(tmp_path: Path) -> None:
    path = with_part(ods(tmp_path / "a.ods", TABLE), "content.xml", (b'<?xml version="1.0" encoding="UTF-8"?>', ENTITY))

    with pytest.raises(BadInput, match="document type"):
        read_file(path)


def test_an_ods_of_a_few_bytes_that_stands_for_millions_of_cells_is_refused(tmp_path: Path) -> None:
    many = (
        '<table:table-row table:number-rows-repeated="1000000"><table:table-cell '
        'table:number-columns-repeated="1000" office:value-type="float" office:value="1"><text:p>1</text:p>'
        "</table:table-cell></table:table-row>"
    )

    with pytest.raises(BadInput, match="repeats filled cells"):
        read_file(ods(tmp_path / "a.ods", TABLE, extra=many))


def test_an_ods_whose_empty_end_is_repeated_is_read(tmp_path: Path) -> None:
    """As every office program writes it: the rest of the sheet, a million empty rows."""
    end = (
        '<table:table-row table:number-rows-repeated="1048574"><table:table-cell '
        'table:number-columns-repeated="16384"/></table:table-row>'
    )

    book = read_file(ods(tmp_path / "a.ods", TABLE, extra=end))

    assert len(book.sheets[0].rows) == 2


def test_merged_cells_without_end_are_refused(tmp_path: Path) -> None:
    path = workbook(tmp_path / "a.xlsx", TABLE)
    merges = b"</sheetData><mergeCells>" + b'<mergeCell ref="A1:XFD1048576"/>' * 3 + b"</mergeCells>"
    with_part(path, SHEET, (b"</sheetData>", merges))

    with pytest.raises(BadInput, match="merges more cells"):
        read_file(path)


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.xlsx", b"", "damaged"),
        ("a.xlsx", b"PK\x03\x04 nothing", "damaged"),
        ("a.ods", b"letter", "damaged"),
        ("a.csv", b"a,b\n\x81\x8d\xfa,c", "UTF-8"),
        ("a.csv", b"a,b\nc\0,d", "no text"),
        ("a.csv", b'a,b\n"c,d\n', "cannot be read"),
        ("a.docx", b"x", "no sheet this program reads"),
        ("a", b"x", "no sheet this program reads"),
    ],
)
def test_what_is_no_sheet_is_refused_in_one_sentence(tmp_path: Path, name: str, data: bytes, sentence: str) -> None:
    (tmp_path / name).write_bytes(data)

    with pytest.raises(BadInput, match=sentence) as refused:
        read_file(tmp_path / name)

    assert "\n" not in refused.value.sentence


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be read"):
        read_file(tmp_path / "none.xlsx")


@pytest.mark.parametrize("seed", range(20))
def test_a_damaged_workbook_is_refused_or_read_and_never_a_fault(tmp_path: Path, seed: int) -> None:
    import random

    chance = random.Random(seed)
    path = workbook(tmp_path / "a.xlsx", TABLE)
    data = bytearray(path.read_bytes())
    for _ in range(chance.randint(1, 30)):
        data[chance.randrange(len(data))] = chance.randrange(256)
    path.write_bytes(data[: chance.randrange(len(data) // 2, len(data) + 1)])

    with contextlib.suppress(BadInput):
        read_file(path)


def test_a_workbook_that_is_not_xml_inside_is_refused(tmp_path: Path) -> None:
    path = workbook(tmp_path / "a.xlsx", TABLE)
    with_part(path, SHEET, (b"<sheetData>", b"<sheetData><row r='1'><c r='A1' t='n'><v>x</v></c></row><"))

    with pytest.raises(BadInput):
        read_file(path)


def test_a_cell_longer_than_any_record_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="characters"):
        read_file(workbook(tmp_path / "a.xlsx", [["x" * 20_000]]))


def test_a_cell_far_away_does_not_make_it_read_for_ever(tmp_path: Path) -> None:
    import openpyxl

    path = workbook(tmp_path / "a.xlsx", TABLE)
    book = openpyxl.load_workbook(path)
    book.active["XFD1048576"].number_format = "0.00"
    book.save(path)

    book_read = read_file(path)

    assert len(book_read.sheets[0].rows) == 2

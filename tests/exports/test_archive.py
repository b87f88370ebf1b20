"""The archive: described so that others' tools validate it, opened to the same bytes, refused when damaged."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import insert

from exports.archive.dictionary import TABLES, of_column
from exports.archive.read import open_archive
from exports.archive.write import write_archive
from ledger.errors import BadInput, Refused
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.records.rows import fingerprint
from ledger.records.store import Store, create, open_store
from ledger.records.tables import metadata, operation, outcome
from ledger.selling.commands import LineOf, Sell
from ledger.stock.commands import AddLot, AddSpecies, Arrival
from tests.ledger.records.filled import fill as fill_every_table
from tests.postgres import Server
from tests.tui.business import NOW


@pytest.fixture
def filled(filled_loft: Path, tmp_path: Path) -> Iterator[Store]:
    """A copy of the business, of the test's own."""
    shutil.copyfile(filled_loft, tmp_path / "filled.rearledger")
    store = open_store(str(tmp_path / "filled.rearledger"))
    yield store
    store.close()


@pytest.fixture(scope="module")
def archive(filled_loft: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The archive of the business."""
    store = open_store(str(filled_loft), read_only=True)
    try:
        return write_archive(store, tmp_path_factory.mktemp("archive") / "loft.zip")
    finally:
        store.close()


def same(first: Store, second: Store) -> bool:
    with first.reading() as one, second.reading() as other:
        return fingerprint(one) == fingerprint(other)


def unpacked(archive: Path, folder: Path) -> Path:
    zipfile.ZipFile(archive).extractall(folder)
    return folder / "datapackage.json"


def faults(package: Path) -> set[tuple[str, str]]:
    """Tables with the kinds of fault that frictionless finds in them."""
    from frictionless import Package, system

    with system.use_context(trusted=True):
        report = Package(str(package)).validate()
    return {(task.name, error.type) for task in report.tasks for error in task.errors}


def test_every_table_and_column_is_described() -> None:
    assert [name for name in metadata.tables if name not in TABLES] == []
    assert [f"{c.table.name}.{c.name}" for t in metadata.sorted_tables for c in t.columns if not of_column(c)] == []


def test_empty_means_nothing_only_where_no_text_can_be_empty() -> None:
    for table in metadata.sorted_tables:
        for column in table.columns:
            checks = " ".join(str(getattr(one, "sqltext", "")) for one in column.constraints)
            if column.nullable and isinstance(column.type.python_type, type) and column.type.python_type is str:
                assert "IN (" in checks, (
                    f"{column}: a free text that may be nothing could not be told from an empty one"
                )
                assert "''" not in checks.replace("''''", ""), column


def test_archive_open_archive_is_byte_identical(
    archive: Path, filled: Store, target_for_new: str, tmp_path: Path
) -> None:
    opened = open_archive(archive, target_for_new)

    again = write_archive(opened, tmp_path / "again.zip")

    assert again.read_bytes() == archive.read_bytes()
    assert same(opened, filled)
    opened.close()
    with Ledger.open(target_for_new, clock=lambda: NOW) as ledger:
        assert ledger.prove() == ()


@pytest.fixture(params=["sqlite", "postgresql"])
def target_for_new(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where there is nothing yet."""
    if request.param == "sqlite":
        yield str(tmp_path / "opened.rearledger")
        return
    server: Server = request.getfixturevalue("pg_server")
    name = server.new_database()
    yield server.url_of(name)
    server.drop_database(name)


def test_numbers_of_ones_own_go_on_in_a_ledger_from_an_archive(sqlite_store: Store, tmp_path: Path) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    for command in (
        AddSpecies("PACH", "pachnoda-marginata"),
        AddLot("P01", "PACH", NOW.date(), (Arrival("opening", "L3", unsexed=9),)),
        SetSetting("sale numbers", "RE-YYYY-0213"),
        Sell((LineOf("P01", 1, 100),), NOW.date()),
    ):
        ledger.do(command)

    opened = open_archive(write_archive(sqlite_store, tmp_path / "own.zip"), str(tmp_path / "opened.rearledger"))
    again = Ledger(opened, clock=lambda: NOW, by="keeper")

    assert again.do(Sell((LineOf("P01", 1, 100),), NOW.date())).refs["number"] == "RE-2025-0214"
    assert again.prove() == ()
    opened.close()


def test_a_row_in_every_table_comes_through(store: Store, tmp_path: Path) -> None:
    with store.writing() as conn:
        fill_every_table(conn)
    archive = write_archive(store, tmp_path / "every.zip")

    opened = open_archive(archive, str(tmp_path / "opened.rearledger"))

    assert same(opened, store)
    assert write_archive(opened, tmp_path / "again.zip").read_bytes() == archive.read_bytes()
    opened.close()


def test_a_closed_year_comes_through_closed(filled: Store, tmp_path: Path) -> None:
    import datetime as dt

    from ledger.books.commands import CloseYear
    from ledger.errors import PeriodClosed
    from ledger.stock.commands import Move, Record

    Ledger(filled, clock=lambda: NOW).do(CloseYear(2024, dt.date(2025, 6, 1)))

    opened = open_archive(write_archive(filled, tmp_path / "closed.zip"), str(tmp_path / "opened.rearledger"))

    ledger = Ledger(opened, clock=lambda: NOW)
    assert ledger.prove() == ()
    with pytest.raises(PeriodClosed):
        ledger.do(CloseYear(2024, dt.date(2025, 6, 1)))
    done = ledger.do(Record("P01", (Move("died", 1, sex="male"),), dt.date(2025, 6, 1)))
    assert done.refs["entry"] == max(row.id for row in Ledger(filled, clock=lambda: NOW).entries()) + 1
    opened.close()


def test_frictionless_finds_nothing_wrong(archive: Path, tmp_path: Path) -> None:
    assert faults(unpacked(archive, tmp_path / "out")) == set()


def _edit(path: Path, change: Callable[[list[list[str]]], None], package: Path) -> None:
    """Change rows of a table and make its length and hash fit, so that only the rows are wrong."""
    import hashlib

    rows = list(csv.reader(io.StringIO(path.read_text("utf-8"), newline="")))
    change(rows)
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    data = out.getvalue().encode()
    path.write_bytes(data)
    said = json.loads(package.read_text("utf-8"))
    for one in said["resources"]:
        if one["path"].endswith(path.name):
            one["bytes"], one["hash"] = len(data), f"sha256:{hashlib.sha256(data).hexdigest()}"
    package.write_text(json.dumps(said), "utf-8")


def _set(column: str, value: str) -> Callable[[list[list[str]]], None]:
    def change(rows: list[list[str]]) -> None:
        rows[1][rows[0].index(column)] = value

    return change


PLANTED = {
    "an unknown lot": ("holding.csv", _set("lot_id", "999"), "foreign-key"),
    "a day that is none": ("entry.csv", _set("happened_on", "2025-02-30"), "type-error"),
    "a word that is no choice": ("holding.csv", _set("sex", "perhaps"), "constraint-error"),
    "an amount beyond all bounds": ("cost.csv", _set("gross", "999999999999999"), "constraint-error"),
    "a row number twice": ("movement.csv", lambda rows: rows.append(rows[1]), "primary-key"),
    "a missing value": ("movement.csv", _set("count", ""), "constraint-error"),
}


def test_planted_faults_are_found_by_frictionless(archive: Path, tmp_path: Path) -> None:
    package = unpacked(archive, tmp_path / "out")
    for name, change, _ in PLANTED.values():
        _edit(package.parent / "data" / name, change, package)

    found = faults(package)

    assert {(name.removesuffix(".csv"), kind) for name, _, kind in PLANTED.values()} <= found


@pytest.mark.parametrize("fault", PLANTED)
def test_each_planted_fault_is_refused_by_the_program(archive: Path, tmp_path: Path, fault: str) -> None:
    name, change, _ = PLANTED[fault]
    package = unpacked(archive, tmp_path / "out")
    _edit(package.parent / "data" / name, change, package)

    refused(_zipped(package.parent, tmp_path / "planted.zip"), tmp_path)


def _package(change: Callable[[dict[str, Any]], None]) -> Callable[[Path], None]:
    def to(package: Path) -> None:
        said = json.loads(package.read_text("utf-8"))
        change(said)
        package.write_text(json.dumps(said), "utf-8")

    return to


REFUSED = {
    "a table that is not there": (lambda package: (package.parent / "data/cost.csv").unlink(), "cost.csv is missing"),
    "a table too many": (
        lambda package: (package.parent / "data" / "extra.csv").write_text("id\r\n1\r\n"),
        "does not hold the tables",
    ),
    "a table that is not described": (_package(lambda said: said["resources"].pop()), "does not hold the tables"),
    "a table described twice": (
        _package(lambda said: said["resources"].append(said["resources"][0])),
        "does not hold the tables",
    ),
    "another total": (
        _package(lambda said: said["rearledger"]["controlTotals"]["cost"].update(gross=1)),
        "control totals",
    ),
    "another currency": (_package(lambda said: said["rearledger"].update(currency="USD")), "not those it was written"),
    "no version": (_package(lambda said: said["rearledger"].update(schemaVersion="one")), "is damaged"),
}


@pytest.mark.parametrize("fault", REFUSED)
def test_what_does_not_belong_together_is_refused_and_leaves_nothing(archive: Path, tmp_path: Path, fault: str) -> None:
    change, sentence = REFUSED[fault]
    package = unpacked(archive, tmp_path / "out")
    change(package)

    assert sentence in refused(_zipped(package.parent, tmp_path / "other.zip"), tmp_path)


def test_one_changed_byte_is_found_by_both(archive: Path, tmp_path: Path) -> None:
    package = unpacked(archive, tmp_path / "out")
    path = package.parent / "data" / "species.csv"
    path.write_bytes(path.read_bytes().replace(b"Pachnoda", b"Pachnodo", 1))

    assert ("species", "hash-count") in faults(package)
    assert "changed or damaged" in refused(_zipped(package.parent, tmp_path / "changed.zip"), tmp_path)


def test_control_totals_find_a_row_that_is_gone_with_everything_else_made_to_fit(archive: Path, tmp_path: Path) -> None:
    package = unpacked(archive, tmp_path / "out")
    _edit(package.parent / "data" / "observation.csv", lambda rows: rows.pop(), package)

    assert faults(package) == set(), "nothing else finds it"
    assert "control totals" in refused(_zipped(package.parent, tmp_path / "less.zip"), tmp_path)


def _zipped(folder: Path, path: Path) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for one in sorted(folder.rglob("*")):
            if one.is_file():
                file.write(one, one.relative_to(folder).as_posix())
    return path


def refused(archive: Path, tmp_path: Path) -> str:
    """Open an archive that must be refused in one sentence, with nothing left behind."""
    place = tmp_path / "place"
    place.mkdir(exist_ok=True)

    with pytest.raises(Refused) as refusal:
        open_archive(archive, str(place / "opened.rearledger"))

    assert os.listdir(place) == []
    sentence = refusal.value.sentence
    assert sentence.endswith(".")
    assert "\n" not in sentence
    return sentence


@pytest.mark.parametrize("part", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_half_an_archive_is_refused_and_leaves_nothing(archive: Path, tmp_path: Path, part: float) -> None:
    content = archive.read_bytes()
    half = tmp_path / "half.zip"
    half.write_bytes(content[: int(len(content) * part)])

    refused(half, tmp_path)


@pytest.mark.parametrize("seed", range(12))
def test_a_damaged_byte_anywhere_is_refused_or_does_not_matter(
    archive: Path, filled: Store, tmp_path: Path, seed: int
) -> None:
    import random

    chance = random.Random(seed)
    content = bytearray(archive.read_bytes())
    content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    (tmp_path / "bent.zip").write_bytes(content)
    place = tmp_path / "place"
    place.mkdir()

    try:
        opened = open_archive(tmp_path / "bent.zip", str(place / "opened.rearledger"))
    except Refused:
        assert os.listdir(place) == []
    else:
        assert same(opened, filled), "a byte that nobody reads, such as a date in the zip"
        opened.close()


def test_a_damaged_archive_leaves_an_empty_database_empty(archive: Path, pg_server: Server, tmp_path: Path) -> None:
    package = unpacked(archive, tmp_path / "out")
    _edit(package.parent / "data" / "holding.csv", _set("lot_id", "999"), package)
    damaged = _zipped(package.parent, tmp_path / "planted.zip")
    name = pg_server.new_database()

    with pytest.raises(BadInput, match="do not fit together"):
        open_archive(damaged, pg_server.url_of(name))

    with pg_server.connect(name) as conn:
        assert conn.execute(
            "SELECT count(*) FROM information_schema.tables WHERE table_schema = 'public'"
        ).fetchone() == (0,)
    pg_server.drop_database(name)


def test_something_else_than_an_archive_is_refused(tmp_path: Path, filled: Store) -> None:
    (tmp_path / "letter.zip").write_text("dear")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as file:
        file.writestr("a.txt", "a")

    assert "no such file at all" in refused(tmp_path / "letter.zip", tmp_path)
    assert "is no archive of this program" in refused(tmp_path / "other.zip", tmp_path)
    assert "cannot be read" in refused(tmp_path / "none.zip", tmp_path)


def test_an_archive_never_replaces_a_ledger(archive: Path, filled: Store) -> None:
    before = Path(filled.target).read_bytes()

    with pytest.raises(BadInput, match="already"):
        open_archive(archive, filled.target)

    assert Path(filled.target).read_bytes() == before


def test_an_archive_is_for_its_owner_alone_and_never_written_over(archive: Path, filled: Store) -> None:
    assert archive.stat().st_mode & 0o777 == 0o600
    with pytest.raises(BadInput, match="already"):
        write_archive(filled, archive)


@pytest.fixture
def plain_csv() -> Iterator[int]:
    """The csv module as it comes, which frictionless alters: it reads no value longer than this."""
    usual = 131_072
    before = csv.field_size_limit(usual)
    yield usual
    csv.field_size_limit(before)


def test_the_longest_value_a_ledger_keeps_comes_through(tmp_path: Path, plain_csv: int) -> None:
    store = create(str(tmp_path / "long.rearledger"), currency="EUR")
    act = {"id": 1, "token": "t" * 20, "kind": "Record", "digest": "0" * 64, "recorded_at": "2025-06-02"}
    with store.writing() as conn:
        conn.execute(insert(operation).values(**act, recorded_by="k", source="test"))
        conn.execute(insert(outcome).values(operation_id=1, answer="a" * 200_000))

    opened = open_archive(write_archive(store, tmp_path / "long.zip"), str(tmp_path / "opened.rearledger"))

    assert same(opened, store)
    assert csv.field_size_limit() == plain_csv
    opened.close()
    store.close()


def test_an_empty_ledger_has_an_archive_too(tmp_path: Path) -> None:
    store = create(str(tmp_path / "empty.rearledger"), currency="BHD", year_start=(4, 6))

    opened = open_archive(write_archive(store, tmp_path / "empty.zip"), str(tmp_path / "opened.rearledger"))

    assert same(opened, store)
    assert opened.currency.digits == 3
    opened.close()
    store.close()

"""A keeper's whole life cycle from command lines alone, on both kinds of database, with figures worked out by hand.

40 eggs, 36 hatch and 4 die, 16 larvae die, 20 are reared: 20 of 40. The only cost that concerns them is feed for
30.00, so each reared adult cost 1.50, and 0.75 had none died (30.00 over 40). Five sold leave 5 x 1.50 = 7.50 as cost
of animals sold: 28.50 - 7.50 - 6.20 postage = 14.80 on the accruals basis; 28.50 - 6.20 - 30.00 = -7.70 in cash.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from openpyxl import load_workbook
from sqlalchemy import text

from ledger.records.store import open_store
from tests.postgres import Server
from tests.tui.command_line import TODAY, CommandLine, play

REARED = (
    "setting business name Test Loft",
    f"setting pretend today {TODAY}",
    "species add PACH --template pachnoda-marginata",
    "lot add E01 PACH bought 1 adult female in tub F1 for 0 and 1 adult male in tub M1 for 0 --date 2024-01-10"
    " --purpose breeding --origin CB --generation 1 --evidence document --documents invoice --supplier Nib",
    "lot virgin E01/F1 yes --from 2024-01-10",
    "lot with E01/F1 E01/M1 --from 2024-02-01 --to 2024-03-02 --seen",
    "lot add P08 PACH laid 40 eggs --mother E01/F1 --laid 2024-03-01 --date 2024-03-01",
    "record P08 36 eggs hatched --date 2024-03-25",
    "record P08 4 eggs died --date 2024-03-26",
    "spend feed 30.00 Ombrel for P08 --date 2024-04-01 --from 2024-04-01 --to 2024-04-30",
    "record P08 36 L1 to L3 --date 2024-05-20",
    "record P08 16 L3 died --date 2024-06-01",
    "record P08 20 L3 to cocoon --date 2024-07-20",
    "record P08 20 cocoon to soft adult --date 2024-09-10",
    "record P08 20 soft adult to adult --date 2024-09-20",
    "record P08 8 female 2024-09-21",
    "price PACH adult 4.00 --from 2024-01-01",
)
SOLD = (
    "sell P08 5 adult unsexed to Tarn by post postage 8.50 paid 28.50 --date 2024-11-01",
    "posted S-2024-0001 --date 2024-11-02 --postage 6.20",
    "hold P08 2 female for Tarn until +5",
    "sell P08 2 female at 9.00 to Tarn paid --hold R-001",
)


@dataclass(frozen=True, slots=True)
class Templates:
    """Two ledgers to copy from: paths, or names of databases of a server."""

    reared: str
    sold: str
    server: Server | None

    @contextmanager
    def copy(self, source: str, folder: Path) -> Iterator[str]:
        """Path or URL of a copy that a test may change."""
        if self.server is None:
            path = folder / "copy.rearledger"
            shutil.copyfile(source, path)
            yield str(path)
            return
        name = self.server.new_database(source)
        yield self.server.url_of(name)
        self.server.drop_database(name)


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def templates(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Templates]:
    """A ledger in which P08 has been reared, and one in which some were sold: each test works on a copy."""
    if request.param == "sqlite":
        folder = tmp_path_factory.mktemp("lofts")
        reared, sold = str(folder / "reared"), str(folder / "sold")
        shutil.copyfile(request.getfixturevalue("sqlite_template"), reared)
        play(reared, REARED)
        shutil.copyfile(reared, sold)
        play(sold, SOLD)
        yield Templates(reared, sold, None)
        return
    server: Server = request.getfixturevalue("pg_server")
    names = [server.new_database(request.getfixturevalue("pg_template"))]
    play(server.url_of(names[0]), REARED)
    names.append(server.new_database(names[0]))
    play(server.url_of(names[1]), SOLD)
    yield Templates(names[0], names[1], server)
    for name in names:
        server.drop_database(name)


@pytest.fixture
def loft(templates: Templates, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Iterator[CommandLine]:
    """A ledger in which P08 has been reared."""
    with templates.copy(templates.reared, tmp_path) as target:
        yield CommandLine(target, capsys)


@pytest.fixture
def shop(templates: Templates, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Iterator[CommandLine]:
    """The same, with a sale by post of 2024 and one of 2025 that took up a hold."""
    with templates.copy(templates.sold, tmp_path) as target:
        yield CommandLine(target, capsys)


def test_what_is_reared_is_alive_and_ready_with_its_origin_and_price(loft: CommandLine) -> None:
    stock = loft.ok("stock", "--lot", "P08", "--format", "json").json
    ready = loft.ok("ready", "--format", "json").json

    assert [(row["stage"], row["sex"], row["count"]) for row in stock] == [
        ("adult", "female", 8),
        ("adult", "unsexed", 12),
    ]
    assert [(row["sex"], row["ready"], row["held"], row["price_each"]) for row in ready] == [
        ("female", 8, 0, "4.00"),
        ("unsexed", 12, 0, "4.00"),
    ]
    assert {row["origin"] for row in ready} == {"captive bred, F2 by our records"}


def test_breeders_are_not_on_the_ready_list(loft: CommandLine) -> None:
    assert {row["lot"] for row in loft.ok("ready", "--format", "json").json} == {"P08"}


def test_stock_of_a_past_day_is_that_of_the_day(loft: CommandLine) -> None:
    rows = loft.ok("stock", "--lot", "P08", "--on", "2024-06-01", "--format", "json").json

    assert [(row["stage"], row["count"]) for row in rows] == [("L3", 20)]


def test_held_animals_leave_the_ready_list_until_released(loft: CommandLine) -> None:
    loft.ok("hold", "P08 3 female for Tarn until +5")
    held = loft.ok("ready", "--format", "json").json[0]
    loft.ok("hold", "release", "R-001")
    free = loft.ok("ready", "--format", "json").json[0]

    assert (held["ready"], held["held"]) == (5, 3)
    assert (free["ready"], free["held"]) == (8, 0)


def test_a_sale_by_post_leaves_when_it_is_posted(loft: CommandLine) -> None:
    play(loft.target, SOLD[:1])
    waiting = loft.ok("sales", "--format", "json").json[0]
    there = sum(row["count"] for row in loft.ok("stock", "--lot", "P08", "--format", "json").json)
    play(loft.target, SOLD[1:2])
    posted = loft.ok("sales", "--format", "json").json[0]
    left = sum(row["count"] for row in loft.ok("stock", "--lot", "P08", "--format", "json").json)

    assert (waiting["state"], waiting["total"], waiting["owed"]) == ("to post", "28.50", "0.00")
    assert (posted["state"], there, left) == ("posted 2024-11-02", 20, 15)


def test_a_receipt_states_the_origin_of_each_line(shop: CommandLine) -> None:
    paper = shop.ok("receipt", "S-2024-0001").out

    assert "Test Loft" in paper
    assert "5 adults, unsexed, sun beetle (Pachnoda marginata), lot P08" in paper
    assert "Origin: captive bred, F2 by our records" in paper
    assert "By our records; not a certificate." in " ".join(paper.split())
    assert shop.ok("receipt", "S-2024-0001", "--format", "json").json["total"] == "28.50"


def test_rearing_gives_survival_and_the_cost_of_one_adult(shop: CommandLine) -> None:
    species, *lots = shop.ok("rearing", "--format", "json").json
    row = next(one for one in lots if one["lot"] == "P08")

    assert (row["entered"], row["reached"], row["lost"], row["left_early"], row["pending"]) == (40, 20, 20, 0, 0)
    assert row["survival"] == pytest.approx(0.5)
    # Wilson's interval for 20 of 40 at 95 %.
    assert (row["low"], row["high"]) == (pytest.approx(0.3520, abs=5e-5), pytest.approx(0.6480, abs=5e-5))
    assert (row["cost_per_reared"], row["cost_without_losses"], row["naive_cost"]) == ("1.50", "0.75", None)
    assert (species["lot"], species["cost_per_reared"], species["naive_cost"]) == (None, "1.50", "1.50")


def test_a_figure_that_is_not_there_says_why(shop: CommandLine) -> None:
    rows = shop.ok("rearing", "--format", "json").json
    breeders = next(one for one in rows if one["lot"] == "E01")

    assert (breeders["survival"], breeders["cost_per_reared"]) == (None, None)
    assert breeders["why"] == "no animal entered before the reared stage; none reared"


def test_the_curve_lets_anyone_reckon_survival_again(loft: CommandLine) -> None:
    (row,) = loft.ok("rearing", "--lot", "P08", "--curve", "--format", "json").json
    adult, lost = row["states"].index("adult"), row["states"].index("lost")
    moved = sum(day[source][adult] for day in row["counts"] for source in range(len(row["states"])))
    died = sum(day[source][lost] for day in row["counts"] for source in range(len(row["states"])))

    assert row["days"][0] == 0
    assert len(row["days"]) == len(row["prob"]) == len(row["se"]) == len(row["at_risk"]) == len(row["counts"])
    assert (moved, died) == (20, 20)
    assert row["prob"][-1][adult] == pytest.approx(row["survival"])


def test_the_chain_of_a_lot_goes_back_to_its_founders(loft: CommandLine) -> None:
    chain = loft.ok("origin", "P08", "--format", "json").json

    assert chain["origin"] == "captive bred, F2 by our records"
    assert [(row["lot"], row["founder"]) for row in chain["chain"]] == [("P08", False), ("E01", True)]
    assert loft.ok("origin", "P08").lines[-1] == "By our records; not a certificate."


def test_a_year_closes_on_both_bases_and_then_stands(shop: CommandLine) -> None:
    income = shop.ok("income", "2024", "--format", "json").json
    closed = shop.ok("close", "2024").out
    shop.ok("spend", "feed 5.00", "--date", "2024-06-01")
    late = shop.ok("costs", "--format", "json").json[0]

    assert (income["cash_result"], income["accruals_result"], income["agrees"]) == ("-7.70", "14.80", True)
    assert "-7.70 EUR on the cash basis, 14.80 EUR on the accruals basis" in closed
    assert (late["bought_on"], late["used_from"]) == ("2024-06-01", "2025-01-01")
    assert shop.ok("income", "2024", "--format", "json").json["cash_result"] == "-7.70"


def test_everything_adds_up_at_the_end(shop: CommandLine) -> None:
    shop.ok("close", "2024")

    assert shop.ok("prove").out == "Everything adds up.\n"
    assert all(row["holds"] for row in shop.ok("checks", "2024", "--format", "json").json)


def test_what_does_not_add_up_is_found_and_ends_with_one(shop: CommandLine) -> None:
    store = open_store(shop.target)
    with store.writing() as conn:
        conn.execute(text("UPDATE holding SET \"count\" = \"count\" + 1 WHERE tub = '' AND sex = 'female'"))
    store.close()

    ran = shop("prove")

    assert (ran.status, ran.err) == (1, "")
    assert "stock" in ran.out


def test_the_year_end_is_written_and_never_over_another(shop: CommandLine, tmp_path: Path) -> None:
    shop.ok("year-end", "2024", "--to", str(tmp_path))
    shop.ok("year-end", "2024", "--to", str(tmp_path))

    first, second = sorted(tmp_path.glob("*.xlsx"))
    assert (first.name[-8:], second.name[-8:]) == ("-r1.xlsx", "-r2.xlsx")
    assert "Income" in load_workbook(first, read_only=True).sheetnames


def test_undo_takes_back_the_last_act_on_the_stock(loft: CommandLine) -> None:
    loft.ok("record", "P08 3 female died")
    loft.ok("undo")

    assert loft.ok("stock", "--lot", "P08", "--format", "json").json[0]["count"] == 8
    assert [row["stands"] for row in loft.ok("entries", "--limit", "2", "--format", "json").json] == [False, False]


def test_a_credit_corrects_a_sale_and_brings_what_came_back(shop: CommandLine) -> None:
    shop.ok("credit", "S-2025-0001", "--reason", "one sent back alive", "--line", "1:1:4.50:1")
    sale = shop.ok("sales", "--limit", "1", "--format", "json").json[0]

    assert (sale["total"], sale["credited"], sale["paid"], sale["owed"]) == ("9.00", "4.50", "4.50", "0.00")
    assert shop.ok("stock", "--lot", "P08", "--format", "json").json[0]["count"] == 7


def test_part_of_a_lot_becomes_a_lot_of_its_own(loft: CommandLine) -> None:
    loft.ok("lot", "split", "P08", "2 adult female and 3 adult unsexed", "--into", "P08B")

    rows = loft.ok("stock", "--lot", "P08B", "--format", "json").json
    assert [(row["sex"], row["count"]) for row in rows] == [("female", 2), ("unsexed", 3)]
    assert loft.ok("origin", "P08B", "--format", "json").json["origin"] == "captive bred, F2 by our records"


def test_a_lot_tells_its_story(loft: CommandLine) -> None:
    told = loft.ok("lot", "show", "P08").out

    assert "40 eggs laid here" in told
    assert "16 L3 died" in told


def test_animals_kept_back_are_not_ready(loft: CommandLine) -> None:
    kept = loft.ok("lot", "keep", "P08", "2", "adult", "female", "--why", "future breeders", "--format", "json").json
    row = loft.ok("ready", "--format", "json").json[0]
    loft.ok("lot", "free", str(kept["refs"]["earmark"]))

    assert (row["ready"], row["kept"]) == (6, 2)
    assert loft.ok("ready", "--format", "json").json[0]["ready"] == 8


def test_what_needs_doing_is_told(shop: CommandLine) -> None:
    rows = shop.ok("due", "--format", "json").json

    assert {row["ref"] for row in rows if row["kind"] == "round"} == {"E01", "P08"}

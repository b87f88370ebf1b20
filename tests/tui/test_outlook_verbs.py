"""The verbs that look ahead, as a script uses them: text, JSON with everything shown, CSV, and refusals."""

from __future__ import annotations

import csv
import io
import math
import re
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from ledger.act import Done
from ledger.errors import ReadOnly
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.records.store import open_store
from tests.tui.business import fill
from tests.tui.command_line import CommandLine, content
from tui.rearing_page import found_of


@pytest.fixture(scope="module")
def filled(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """P08 has larvae, cocoons, soft adults and adults; it is 4 June 2025."""
    path = tmp_path_factory.mktemp("loft") / "loft.ledger"
    shutil.copyfile(sqlite_template, path)
    ledger = fill(open_store(str(path)))
    ledger.do(SetSetting("pretend today", "2025-06-04"))
    ledger.close()
    return path


@pytest.fixture
def loft(filled: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    """A copy of it."""
    target = tmp_path / "loft.ledger"
    shutil.copyfile(filled, target)
    target.chmod(0o600)
    return CommandLine(str(target), capsys)


def test_coming_shows_the_weeks_the_lots_and_what_it_rests_on(loft: CommandLine) -> None:
    ran = loft.ok("coming")

    assert ran.lines[0].startswith("PACH: about ")
    assert "in four cases of five" in ran.lines[0]
    assert any(line.startswith("2025-06-05   2025-06-11") for line in ran.lines)
    assert any(line.startswith("P08: ") for line in ran.lines)
    assert "What it rests on:" in ran.lines
    assert any("own animals moved on" in line for line in ran.lines)


def test_coming_as_json_holds_everything_that_is_shown(loft: CommandLine) -> None:
    (found,) = loft.ok("coming", "--format", "json", "--weeks", "5").json

    assert list(found) == [
        *("species", "name", "stage", "hardening_days", "on", "animals", "promised", "words"),
        *("weeks", "lots", "rests_on", "left_out", "earlier_outlooks"),
    ]
    assert [week["from"] for week in found["weeks"]] == [
        *("2025-06-05", "2025-06-12", "2025-06-19", "2025-06-26", "2025-07-03"),
    ]
    for week in found["weeks"]:
        for part in ("ready", "running", "free"):
            assert week[part]["low"] <= week[part]["middle"] <= week[part]["high"]
    assert found["animals"] == sum(sum(lot["stages"].values()) for lot in found["lots"])


def test_coming_as_csv_has_one_row_a_week(loft: CommandLine) -> None:
    rows = list(csv.DictReader(io.StringIO(loft.ok("coming", "--format", "csv", "--weeks", "3").out)))

    assert [row["from"] for row in rows] == ["2025-06-05", "2025-06-12", "2025-06-19"]
    assert all(int(row["ready_low"]) <= float(row["ready"]) + 1 for row in rows)


def test_the_outlook_of_today_is_kept_once_and_one_of_a_past_day_is_not(loft: CommandLine) -> None:
    loft.ok("coming", "--on", "2025-05-25")
    assert loft.ok("coming", "--record").lines == ["No week of a kept outlook is over yet."]
    first = loft.ok("coming")
    kept = content(loft.target)
    again = loft.ok("coming")

    assert first.lines[-1] == "The outlook of 2025-06-04 is kept: 12 weeks of PACH."
    assert again.lines == first.lines[:-1]
    assert content(loft.target) == kept


def test_the_record_tells_how_many_weeks_fell_inside(loft: CommandLine) -> None:
    loft.ok("coming")
    loft.ok("setting", "pretend today", "2025-06-20")
    (line,) = loft.ok("coming", "--record").lines
    rows = loft.ok("coming", "--record", "--format", "json").json

    assert line.startswith("PACH: ")
    assert " of 2 weeks fell inside" in line
    assert [(row["from"], row["came"]) for row in rows] == [("2025-06-05", 0), ("2025-06-12", 0)]
    assert all(row["inside"] == (row["low"] <= row["came"] <= row["high"]) for row in rows)


def test_a_ledger_that_cannot_be_written_still_has_its_outlook(
    loft: CommandLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(self: Ledger, command: object, **more: object) -> Done:
        raise ReadOnly("The ledger is open for reading only.")

    monkeypatch.setattr(Ledger, "do", refuses)

    lines = loft.ok("coming").lines

    assert lines[0].startswith("PACH: about ")
    assert lines[-1] == "This outlook was not kept. The ledger is open for reading only."


def test_rear_or_sell_weighs_each_stage_that_has_a_price(loft: CommandLine) -> None:
    ran = loft.ok("rear-or-sell", "P08", "--buyers", "6")
    (row,) = loft.ok("rear-or-sell", "P08", "--buyers", "6", "--format", "json").json

    assert ran.lines[1].startswith("P08: 10 L3; one fetches 1.50 EUR now and 4.50 EUR as adult.")
    assert "P08: the price list has no price of cocoons; give one." in ran.lines
    assert any(line.startswith("With 6 buyers to come that makes ") for line in ran.lines)
    assert (row["stage"], row["animals"], row["price_now"], row["price_later"]) == ("L3", 10, 1.5, 4.5)
    assert row["break_even_share"] == pytest.approx((row["price_now"] + row["to_come"]) / 4.5, abs=1e-3)
    assert len(row["values"]) == 11
    assert row["words"] == ran.lines[: len(row["words"])]


def test_buyers_to_come_are_those_of_the_sales_unless_given(loft: CommandLine) -> None:
    (unsold,) = loft.ok("rear-or-sell", "P08", "--format", "json").json
    loft.ok("sell", "P08", "2", "unsexed", "adult", "at", "9.00", "to", "Tarn")
    ran = loft.ok("rear-or-sell", "P08")
    (row,) = loft.ok("rear-or-sell", "P08", "--format", "json").json
    (every,) = loft.ok("rear-or-sell", "P08", "--buyers", "all", "--format", "json").json

    ahead = row["days_if_reared"] / 7
    assert (unsold["buyers"], unsold["rear_this_many"]) == (None, None)
    assert (row["sold_lately"], row["weeks_looked_back"], row["interest"]) == (2, 4, 0)
    assert row["buyers"] == row["buyers_by_sales"] == round(2 / 4 * max(4, ahead))
    assert row["rear_this_many"] is not None
    assert any(line.startswith("2 adults were sold in the last 4 weeks, 0.5 a week; in ") for line in ran.lines)
    assert (every["buyers"], every["buyers_by_sales"]) == (None, row["buyers"])


def test_rear_or_sell_takes_what_is_given(loft: CommandLine) -> None:
    (row,) = loft.ok(
        *("rear-or-sell", "P08", "--stage", "cocoon", "--now", "4.40", "--later", "4.50", "--upkeep", "0.30"),
        *("--interest", "5%", "--format", "json"),
    ).json

    assert (row["stage"], row["price_now"], row["rear"]) == ("cocoon", 4.4, False)
    assert row["upkeep_a_day"] == pytest.approx(0.30 * 12 / 365, abs=1e-4)


def test_how_many_and_charge_answer_in_words_and_in_json(loft: CommandLine) -> None:
    words = loft.ok("how-many", "PACH", "20", "--stage", "L3").lines
    rows = loft.ok("how-many", "PACH", "20", "--stage", "L3", "--format", "json").json
    (floor,) = loft.ok("charge", "PACH", "--margin", "30%", "--survival", "90%", "--format", "json").json

    assert len(words) == 4
    assert [row["confidence"] for row in rows] == [0.8, 0.9, 0.95]
    assert [row["start"] for row in rows] == sorted(row["start"] for row in rows)
    assert floor["floor"] == pytest.approx((floor["cost"] + floor["selling"]) / 0.7, abs=1e-3)
    assert floor["words"] == loft.ok("charge", "PACH", "--margin", "30%", "--survival", "90%").lines


def test_survival_of_a_lot_and_of_a_species_in_words_and_with_everything_in_json(loft: CommandLine) -> None:
    words = loft.ok("survival", "p08").lines
    (row,) = loft.ok("survival", "P08", "--format", "json").json
    (group,) = loft.ok("survival", "PACH", "--animals", "50", "--format", "json").json

    assert words[0].startswith("P08: 8 of 40 reared so far: ")
    assert row["words"] == words
    assert row["entered"] == row["reached"] + row["lost"] + row["left_early"] + row["pending"]
    assert sum(one["share"] for one in row["became"].values()) == pytest.approx(1)
    assert row["left_alone"]["low"] < row["left_alone"]["share"] < row["left_alone"]["high"]
    assert (group["counted_from"], list(group["lots"])) == ("L1", ["P08"])
    assert loft.ok("survival", "P08", "--format", "csv").lines[0].startswith('"lot","species"')


def test_stage_times_say_how_each_is_known(loft: CommandLine) -> None:
    words = loft.ok("stage-times", "PACH").lines
    rows = loft.ok("stage-times", "PACH", "--format", "json").json

    assert [row["stage"] for row in rows] == ["egg", "L1", "L2", "L3", "cocoon", "soft adult"]
    assert {row["how"] for row in rows} <= {"tubs", "counts", "blended", "template"}
    assert [row["words"] for row in rows] == words[:-1]
    assert words[-1].startswith("Warmth is not reckoned with: a warmer room makes every stage shorter")
    assert {row["warmth"] for row in rows} == {words[-1]}
    assert words[0].startswith("egg: 24 days (usually 21 to 28), the usual figure, not your own")


def test_the_days_ahead_of_a_cocoon_are_those_of_its_stages_and_hardening(loft: CommandLine) -> None:
    rows = loft.ok("stage-times", "HIER", "--stage", "L4-7 nymph", "--entered", "2025-03-01", "--format", "json").json

    assert [row["stage"] for row in rows] == ["soft adult", "adult", "ready"]
    assert [row["on"] for row in rows] == sorted(row["on"] for row in rows)
    assert rows[0]["on"] == "2025-05-10"


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("coming --weeks 99", "from 1 to 52"),
        ("coming --species NOPE", "There is no species"),
        ("coming --on 2025-06-05", "still to come"),
        ("rear-or-sell Z9", "There is no lot"),
        ("rear-or-sell P01", "has no animals on the way"),
        ("rear-or-sell P08 --now -1", "less than nothing"),
        ("rear-or-sell P08 --now 1", "say which of them"),
        ("rear-or-sell P08 --buyers many", "is not a number of buyers"),
        ("how-many PACH 0", "is not a number of animals"),
        ("how-many HIER 20", "no lots to learn from"),
        ("survival Q9", "There is no lot"),
        ("survival P01", "has no survival"),
        ("survival HIER", "no lot with animals before the reared stage"),
        ("stage-times NOPE", "There is no species"),
        ("stage-times PACH --stage cocoon", "Say both"),
        ("stage-times PACH --stage adult --entered 2025-03-01", "not a stage of young"),
        ("charge HIER", "no cost per reared adult"),
        ("charge PACH --margin 100%", "below 100 %"),
    ],
)
def test_what_cannot_be_answered_is_refused_in_one_sentence(loft: CommandLine, line: str, part: str) -> None:
    assert part in loft.refused(*line.split())


def test_lots_that_tell_nothing_get_a_word_and_no_number(loft: CommandLine) -> None:
    """A lot without entries, and one sold to the last."""
    loft.ok("lot", "add", "N01", "PACH", "--date", "2025-03-01")
    loft.ok("lot", "add", "S01", "PACH", "hatched", "10", "L3", "--date", "2025-03-01")
    loft.ok("sell", "S01", "10", "L3", "at", "1.00", "to", "Tarn", "--date", "2025-04-01")

    for lot, why in (("N01", "no animal entered before the reared stage"), ("S01", "nothing is known yet")):
        (row,) = loft.ok("rearing", lot, "--format", "json").json
        assert (row["survival"], row["low"], row["high"], row["cost_per_reared"]) == (None, None, None, None)
        assert why in row["why"]
        assert f"{lot} has no animals on the way to adult" in loft.refused("rear-or-sell", lot)
    assert "so it has no survival" in loft.refused("survival", "N01")
    assert loft.ok("survival", "S01").lines[0].startswith("S01: 0 of 10 reared: no information yet")
    assert (
        "S01: from day 31 on no L3 was at risk: the curve is flat there" in loft.ok("rearing", "S01", "--curve").lines
    )


def test_dates_out_of_order_and_another_order_of_stages_are_refused(loft: CommandLine) -> None:
    loft.ok("lot", "add", "N01", "PACH", "hatched", "10", "L1", "--date", "2025-03-01")
    loft.ok("record", "N01 5 L1 to L2", "--date", "2025-04-01")
    before = loft.ok("rearing", "N01", "--curve", "--format", "json").json

    assert "N01 started on 1 March 2025" in loft.refused("record", "N01 1 died", "--date", "2025-02-01")
    assert "N01 has no L2 on 15 March 2025" in loft.refused("record", "N01 4 L2 to L3", "--date", "2025-03-15")
    assert "L2 does not come before L1" in loft.refused("record", "N01 3 L2 to L1", "--date", "2025-05-01")
    with closing(sqlite3.connect(loft.target)) as raw, pytest.raises(sqlite3.IntegrityError, match="stage unchanged"):
        raw.execute("UPDATE stage SET position = 20 WHERE name = 'L1'")
    assert loft.ok("rearing", "N01", "--curve", "--format", "json").json == before


def test_the_curve_as_json_is_complete(loft: CommandLine) -> None:
    (row,) = loft.ok("rearing", "--lot", "P08", "--curve", "--format", "json").json
    days, states = row["days"], row["states"]

    assert states[-2:] == ["adult", "lost"]
    for name in ("prob", "se", "at_risk", "reached_by", "lower", "upper"):
        assert len(row[name]) == len(days)
    for name in ("prob", "se", "at_risk"):
        assert all(len(line) == len(states) for line in row[name])
    assert len(row["counts"]) == len(days)
    assert all(len(matrix) == len(states) == len(matrix[0]) for matrix in row["counts"])
    assert all(sum(line) == pytest.approx(1) for line in row["prob"])
    assert sum(matrix[i][-2] for matrix in row["counts"] for i in range(len(states))) == row["reached"]
    assert sum(matrix[i][-1] for matrix in row["counts"] for i in range(len(states))) == row["lost"]


def test_the_band_of_a_curve_in_json_is_the_one_that_is_drawn(loft: CommandLine) -> None:
    """And on the last day it is the interval of the figure; Wilson on p (1 - p) / se^2, reckoned here from the JSON."""
    (row,) = loft.ok("rearing", "--lot", "P08", "--curve", "--format", "json").json
    ledger = Ledger.open(loft.target, read_only=True)
    drawn = found_of(ledger, "P08", "").curve
    ledger.close()

    assert row["reached_by"] == [line[-2] for line in row["prob"]] == [one.value for one in drawn]
    assert row["days"] == [one.at for one in drawn]
    assert row["lower"] == [one.low for one in drawn]
    assert row["upper"] == [one.high for one in drawn]
    assert (row["lower"][-1], row["upper"][-1]) == pytest.approx((row["low"], row["high"]))
    z, checked = 1.959963984540054, 0
    for share, errors, low, high in zip(row["reached_by"], row["se"], row["lower"], row["upper"], strict=True):
        if 0 < share < 1:
            size = min(share * (1 - share) / errors[-2] ** 2, row["entered"])
            middle = (share + z * z / (2 * size)) / (1 + z * z / size)
            half = z / (1 + z * z / size) * math.sqrt(share * (1 - share) / size + z * z / (4 * size * size))
            assert (low, high) == pytest.approx((middle - half, middle + half))
            checked += 1
    assert checked
    assert any("reared by then" in line for line in loft.ok("rearing", "P08", "--curve").lines)


PICTURES = {
    "rearing P08": "Rearing P08",
    "rearing --species PACH": "Rearing PACH",
    "rearing --losses 2025": "Price of mortality 2025",
    "coming": "Outlook PACH 2025-06-04",
    "stage-times PACH": "Stage times PACH",
    "rear-or-sell P08 --stage L3": "Rear or sell P08 L3",
    "how-many PACH 20": "How many to start PACH",
    "charge PACH": "Price floor PACH",
    "charge PACH --survival 90%": "Better survival PACH",
}
"""What each command draws."""


def test_every_picture_is_drawn_by_a_command(loft: CommandLine, tmp_path: Path) -> None:
    loft.ok("lot", "add", "P30", "PACH", "hatched", "10", "L1", "--date", "2025-01-01")
    loft.ok("record", "P30 3 L1 died", "--date", "2025-02-01")
    loft.ok("record", "P30 7 L1 to adult", "--date", "2025-05-01")
    for number, (line, title) in enumerate(PICTURES.items()):
        path = tmp_path / f"{number}.svg"

        assert loft.ok(*line.split(), "--picture", str(path)).lines[-1].startswith("The picture is in ")
        assert f"<title>{title}</title>" in path.read_text("utf-8"), line
        assert re.search(r"<(circle|polyline|rect x=)", path.read_text("utf-8")), line


def test_a_picture_is_never_drawn_over_another_file_and_json_stays_json(loft: CommandLine, tmp_path: Path) -> None:
    path = tmp_path / "one.svg"
    assert loft.ok("stage-times", "PACH", "--picture", str(path), "--format", "json").json[0]["stage"] == "egg"
    before = path.read_bytes()

    assert "already" in loft.refused("stage-times", "PACH", "--picture", str(path))
    assert path.read_bytes() == before
    for line, part in (
        ("stage-times PACH --picture one.png", "must end in .svg"),
        ("rearing --picture", "needs something after it"),
        (f"rearing --picture {tmp_path / 'two.svg'}", "one lot or one species; say which"),
        (f"coming --record --picture {tmp_path / 'two.svg'}", "has no picture"),
        (f"rear-or-sell P08 --now 1 --picture {tmp_path / 'two.svg'}", "say which of them"),
        (f"rearing --losses 2024 --picture {tmp_path / 'two.svg'}", "so there is nothing to draw"),
        (f"stage-times PACH --picture {tmp_path / 'nowhere' / 'two.svg'}", "Nothing can be written to"),
    ):
        assert part in loft.refused(*line.split()), line
    assert not (tmp_path / "two.svg").exists()


def test_the_front_door_knows_every_command_without_loading_numbers() -> None:
    script = "import sys, ledger.ledger; ledger.ledger.handlers(); sys.exit('numpy' in sys.modules)"

    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0

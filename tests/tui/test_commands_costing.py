"""What costs are reckoned from, by command lines: feed in use, the store, power, own hours, methods, valuations."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from ledger.ledger import Ledger
from tests.tui.command_line import TODAY, CommandLine, play

LOFT = (
    f"setting pretend today {TODAY}",
    "species add PACH --template pachnoda-marginata",
    "lot add P08 PACH collected 20 L3 --date 2025-01-01",
    "spend heat 40.00 for P08 --date 2025-01-02 --from 2025-01-02 --to 2025-01-11 --kind overhead",
    "record P08 4 L3 died --date 2025-02-01",
    "record P08 16 L3 to cocoon --date 2025-03-01",
    "record P08 16 cocoon to soft adult --date 2025-04-01",
    "record P08 16 soft adult to adult --date 2025-04-10",
)


@pytest.fixture
def run(sqlite_target: str, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    """Command lines on a ledger in which P08 was reared: 16 of 20 on heat for 40.00."""
    play(sqlite_target, LOFT)
    return CommandLine(sqlite_target, capsys)


def test_feed_in_use_is_listed_and_the_next_bag_ends_the_last(run: CommandLine) -> None:
    run.ok("spend", "feed", "10.00", "--date", "2025-03-01")
    said = run.ok("spend", "feed", "12.00", "--date", "2025-04-10").out

    assert "until the next is opened (the last one took 40 days)" in said
    assert "Caution: Cost 2, opened on 1 March 2025, ends as this one is opened: its last day is 9 April 2025." in said
    (row,) = run.asked("costs", "open")
    assert (row["cost"], row["thought_until"], row["overdue"]) == (3, "2025-05-19", True)
    assert "open the next?" in run.ok("costs", "open").out


def test_a_store_from_buying_to_the_last_gram(run: CommandLine) -> None:
    flake = ("--text", "flake", "--quantity", "10 kg", "--store")
    run.ok("spend", "feed", "40.00", "Ombrel", *flake, "--date", "2025-01-05")
    assert "2.5 kg of flake taken out for P08" in run.ok("store", "out", "flake", "2.5", "--for", "P08").out

    (row,) = run.asked("store")
    assert (row["quantity"], row["unit"], row["average"], row["value"]) == ("7.5", "kg", "4.00", "30.00")
    assert "there is 7.5 kg of flake in store" in run.refused("store", "out", "feed", "8")
    run.ok("store", "out", "feed", "7.5", "--for", "PACH")
    (row,) = run.asked("store")
    assert (row["quantity"], row["average"], row["value"]) == ("0", None, "0.00")

    assert "number 1 is undone" in run.ok("store", "back", "1").out
    assert run.asked("store")[0]["value"] == "10.00"
    assert run("prove").status == 0


def test_power_from_watts_with_the_animals_share(run: CommandLine) -> None:
    heater = ("power", "400W", "30%", "0.30", "--text", "heater", "--from", "2025-01-01", "--to", "2025-05-30")
    said = run.ok(*heater, "--share", "60%").out

    assert "power 129.60 EUR" in said
    assert "counts twice" in said
    row = run.asked("costs")[0]
    assert (row["gross"], row["basis"], row["text"]) == (
        "129.60",
        "77.76",
        "heater: 400 W x 30 %, 150 days: 432.00 kWh",
    )
    assert "is not the price of a kWh" in run.refused("power", "20W", "55%", "cheap", "--from", "2025-01-01")
    assert "number of watts" in run.refused("power", "warm", "55%", "0.30", "--from", "2025-01-01")
    assert "From which day" in run.refused("power", "20W", "55%", "0.30")


def test_a_share_is_set_once_and_listed(run: CommandLine) -> None:
    run.ok("method", "share", "power", "60%", "--from", "2025-01-01", "--note", "12 of 20 square metres")
    run.ok("power", "400W", "30%", "0.30", "--from", "2025-01-01", "--to", "2025-05-30")

    assert run.asked("costs")[0]["basis"] == "77.76"
    (row,) = run.asked("method")
    assert (row["method"], row["value"], row["note"]) == ("share power", "6000", "12 of 20 square metres")
    assert "not known" in run.refused("method", "luck", "good")
    run.ok("method", "sharing", "heat", "tub-days")
    run.ok("method", "cost", "basis", "net")
    said = run.ok("method", "care", "feed", "PACH", "soft", "adult", "2.5").out
    assert "PACH soft adult: care weight 2.5 for feed" in said
    assert "care feed PACH soft adult" in run.ok("method").out
    assert "Write it like" in run.refused("method", "care", "feed", "2.5")


def test_own_hours_stand_beside_the_cost_and_in_no_total(run: CommandLine) -> None:
    before = run.asked("income", "2025")
    run.ok("hours", "note", "2:00", "cleaning", "--for", "P08", "--date", "2025-01-20")
    run.ok("hours", "note", "0.5", "--date", "2025-01-20")
    run.ok("method", "hour", "rate", "12.00", "--from", "2025-01-01")

    assert "2 h 30 min in all: a memo, never in a total." in run.ok("hours").out
    row = next(row for row in run.asked("rearing") if row["lot"] == "P08")
    assert (row["cost_per_reared"], row["with_own_time"]) == ("2.50", "4.38")
    assert row["own_minutes"] == pytest.approx(150 / 16)
    assert "P08: 9 min of your own in each reared adult; with your time 4.38 EUR each" in run.ok("rearing").out
    assert run.asked("income", "2025") == before

    run.ok("hours", "drop", "2")
    assert [row["number"] for row in run.asked("hours")] == [1]
    assert "is no time" in run.refused("hours", "note", "long")


def test_the_losses_of_a_year_have_a_price(run: CommandLine) -> None:
    run.ok("species", "set", "PACH", "L3", "loss", "rate", "10%", "--from", "2025-06-01")
    run.ok("species", "set", "PACH", "L3", "care", "weight", "1.5", "--from", "2025-06-01")

    (row,) = run.asked("rearing", "--losses", "2025")

    assert (row["species"], row["lots"], row["reared"], row["lost"]) == ("PACH", ["P08"], 16, 4)
    assert (row["spent"], row["without_losses"], row["actual"], row["price"]) == ("40.00", "2.00", "2.50", "8.00")
    assert row["expected_share"] is not None
    assert "leave --lot" in run.refused("rearing", "--losses", "2025", "--lot", "P08")
    said = " ".join(run.ok("rearing", "--losses", "2025").out.split())
    assert "finished rearing in the year" in said
    assert "The losses written off at the year end are another figure" in said
    assert "No lot finished rearing in 2024." in run.ok("rearing", "--losses", "2024").out


def test_equipment_is_a_register_with_both_ways_of_using_up(run: CommandLine) -> None:
    run.ok("spend", "equipment", "580.00", "Nib", "--life", "1825", "--residual", "100", "--date", "2025-01-01")

    (row,) = run.asked("equipment", "--on", "2025-06-02")

    # 153 days of 480.00 over 1825, and of 40 % of 580.00 over 365
    assert (row["used_up"], row["left"], row["declining"]) == ("40.24", "539.76", "482.75")
    assert "comparison only" in run.ok("equipment").out


def test_a_standard_cost_makes_the_other_valuation(run: CommandLine) -> None:
    run.ok("standard", "PACH", "adult", "3.75", "--from", "2025-01-01")
    run.ok("price", "PACH", "adult", "2.00", "--from", "2025-01-01")

    found = run.asked("valuation", "2025")

    assert (found["actual_change"], found["standard_change"], found["lower_by"]) == ("40.00", "60.00", "8.00")
    (row,) = found["rows"]
    assert (row["at_end"], row["actual_at_end"], row["standard_at_end"], row["realisable"]) == (
        16,
        "40.00",
        "60.00",
        "32.00",
    )
    text = run.ok("valuation", "2025").out
    assert "Caution: some would fetch less than they cost, 8.00 in all; this is not booked." in text
    assert "local rules" in text
    assert "species, the stage and the amount" in run.refused("standard", "PACH", "3.75")


def test_a_line_is_tried_and_nothing_saved(run: CommandLine) -> None:
    tried = run.ok("try", "heat", "16.00", "for", "P08", "--date", "2025-01-03").out
    assert tried.startswith("Not saved: heat 16.00 EUR")
    assert "cost per reared adult   P08" in tried

    changes = run.asked("try", "P08", "2", "adult", "died", "exceptional", "--date", "2025-05-01")

    assert changes["saved"] is False
    assert {(row["figure"], row["of"], row["by"]) for row in changes["changes"]} == {
        ("cost so far", "P08", "-5.00"),
        ("cost that went out", "2025", "5.00"),
    }
    assert run.asked("stock")[0]["count"] == 16
    assert "No figure" in run.ok("try", "P08", "2", "adult", "male", "--date", "2025-05-01").out


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        (("90", "min", "cleaning"), "1 h 30 min (cleaning)"),
        (("90min",), "1 h 30 min"),
        (("1.5", "hours", "cleaning"), "1 h 30 min (cleaning)"),
        (("1.5h", "cleaning"), "1 h 30 min (cleaning)"),
        (("2", "cleaning"), "2 h (cleaning)"),
    ],
)
def test_time_is_read_as_people_write_it(run: CommandLine, said: tuple[str, ...], heard: str) -> None:
    assert run.ok("hours", "note", *said).out.startswith(heard)


def test_time_that_is_none_is_refused(run: CommandLine) -> None:
    assert "is no time" in run.refused("hours", "note", "1:75")
    assert "is no time" in run.refused("hours", "note", "an", "hour")


def test_methods_are_listed_as_a_keeper_reads_them(run: CommandLine) -> None:
    run.ok("method", "hour", "rate", "12.00")
    run.ok("method", "share", "power", "60%")
    run.ok("method", "care", "feed", "PACH", "adult", "2.5")

    listed = run.ok("method").out

    assert [line.split("  ")[0] for line in listed.splitlines()[1:]] == [
        "care feed PACH adult",
        "hour rate",
        "share power",
    ]
    assert "12.00 EUR" in listed
    assert "60 %" in listed
    assert " 2.5 " in listed
    assert {row["method"]: row["value"] for row in run.asked("method")}["share power"] == "6000"


@pytest.mark.parametrize(
    ("currency", "price", "power", "bought", "each"),
    [("JPY", "30", "12960", "100", "1306"), ("BHD", "0.300", "129.600", "1.000", "13.060")],
)
def test_a_currency_of_no_and_of_three_digits_adds_up_as_one_of_two_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], currency: str, price: str, power: str, bought: str, each: str
) -> None:
    """432 kWh at 30 or 0.300, on ten larvae for 100 or 1.000 that all are reared after the heater was used up."""
    Ledger.create(str(tmp_path / "one.ledger"), currency=currency, name="Loft").close()
    run = CommandLine(str(tmp_path / "one.ledger"), capsys)
    run.ok("setting", "pretend", "today", TODAY)
    run.ok("species", "add", "PACH", "--template", "pachnoda-marginata")
    run.ok("lot", "add", "P08", "PACH", "bought", "10", "L3", "for", bought, "--date", "2025-01-01")
    run.ok("power", "400W", "30%", price, "--from", "2025-01-01", "--to", "2025-05-30")
    run.ok("record", "P08", "10", "L3", "to", "adult", "--date", "2025-06-01")

    found = run.ok("explain", "lot", "P08", "--format", "json").json

    assert run.asked("costs")[0]["gross"] == power
    assert (found["shown"], sum(Decimal(one["in_all"]) for one in found["parts"])) == (each, Decimal(found["in_all"]))
    assert Decimal(found["in_all"]) == Decimal(power) + Decimal(bought)
    assert run("prove").status == 0

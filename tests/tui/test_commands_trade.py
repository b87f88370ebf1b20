"""The day's trade from command lines alone, on both kinds of database: each flow from its start to its end."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.command_line import TODAY, CommandLine, content, one_sentence, play

LOFT = (
    "setting business name Test Loft",
    f"setting pretend today {TODAY}",
    "setting terms report within 2 hours",
    "species add PACH --template pachnoda-marginata",
    "lot add P08 PACH opening 30 L3 and 6 adult --date 2025-05-01 --origin CBU",
    "lot add E03 PACH bought 2.2 adult for 40.00 --date 2025-05-01 --origin WC --supplier Nib",
    "price PACH L3 12.00 --pack 10 --from 2025-01-01",
)


@pytest.fixture
def run(target: str, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    """Command lines on a small loft, on each kind of database."""
    play(target, LOFT)
    return CommandLine(target, capsys)


def test_a_pack_over_two_lots_by_command(run: CommandLine) -> None:
    run.ok(*["lot", "add", "P09", "PACH", "opening", "4", "L3", "--date", "2025-05-01", "--origin", "CBU"])

    run.ok(
        *[
            "pack",
            "group",
            "of",
            "10",
            "from",
            "P08",
            "6",
            "L3",
            "and",
            "P09",
            "4",
            "L3",
            "--to",
            "Tarn",
            "--paid",
            "card",
        ]
    )

    lines = run.ok("receipt", "S-2025-0001", "--format", "json").json["lines"]
    assert [(line["pack"], line["price"]) for line in lines] == [("group of 10", "7.20"), ("group of 10", "4.80")]


def test_a_hold_of_hours_its_queue_and_the_offer_by_command(run: CommandLine) -> None:
    run.ok(*["hold", "E03", "1", "male", "for", "Tarn", "until", "48h", "deposit", "5.00", "cash"])
    run.ok("queue", "R-001", "Fennick", "--count", "1")
    assert [row["customer"] for row in run.ok("queue", "--format", "json").json] == ["Fennick"]
    assert run.ok("owed", "--format", "json").json[0]["kind"] == "deposit held"
    run.ok("hold", "release", "R-001", "--deposit", "refunded")

    said = run.ok("queue", "offer", "R-001", "--until", "24h").out

    assert said.startswith("R-002: Next in the queue of R-001: 1 male adult of E03 held for Fennick")
    assert run.ok("queue", "R-001", "--format", "json").json[0]["new_hold"] == "R-002"


def test_parts_too_much_and_back_by_command(run: CommandLine) -> None:
    run.ok(*["sell", "P08", "2", "adult", "at", "10.00", "to", "Tarn"])
    run.ok(*["paid", "S-2025-0001", "4.00", "--by", "card", "--fee", "0.30"])
    assert run.ok("owed", "--format", "json").json[0]["owed"] == "6.00"
    run.ok(*["paid", "S-2025-0001", "8.00", "--overpaid"])
    run.ok(*["refund", "S-2025-0001", "2.00"])

    assert run.ok("owed", "--format", "json").json == []
    found = run.ok("margin", "S-2025-0001", "--format", "json").json[0]
    assert (found["price"], found["selling_costs"], found["cost_known"]) == ("10.00", "0.30", False)


def test_a_parcel_waits_for_the_weather_goes_arrives_and_is_claimed_by_command(run: CommandLine) -> None:
    run.ok("setting", "post", "days", "Mon", "Tue")
    run.ok("setting", "post", "temperature", "5", "to", "28")
    run.ok(*["sell", "P08", "5", "L3", "at", "10.00", "to", "Tarn", "by", "post", "postage", "5.00", "paid"])
    run.ok("wait", "S-2025-0001", "heat", "--look", "+2")
    [row] = run.ok("parcels", "--format", "json").json
    assert (row["may_go"], row["against"]) == (False, ["it waits (heat), look again 4 June 2025"])
    run.ok("wait", "S-2025-0001", "--over")
    assert run.ok("parcels", "--cold", "-3", "--warm", "31", "--format", "json").json[0]["against"] == [
        "-3 °C is colder than your limit of 5 °C",
        "31 °C is warmer than your limit of 28 °C",
    ]
    run.ok(*["posted", "S-2025-0001", "--cold", "9", "--warm", "20", "--postage", "4.20"])
    run.ok(*["arrived", "S-2025-0001", "--at", "10:30"])

    said = run.ok("claim", "S-2025-0001", "1", "2", "--hours", "1", "--evidence", "picture", "--refund").out

    assert "met by a refund" in said
    [claim] = run.ok("claims", "--format", "json").json
    assert (claim["dead"], claim["outcome"], claim["terms"]) == (2, "refund", "report within 2 hours")
    assert run.ok("arrivals", "--format", "json").json == [
        {"species": "PACH", "parcels": 1, "posted": 5, "claims": 1, "dead": 2, "share": 0.4}
    ]
    assert run.ok("sales", "--format", "json").json[0]["credited"] == "4.00"


def test_a_claim_is_decided_later_by_command(run: CommandLine) -> None:
    run.ok(*["sell", "P08", "5", "L3", "at", "10.00", "to", "Tarn", "by", "post", "paid"])
    run.ok("posted", "S-2025-0001")
    run.ok("claim", "S-2025-0001", "1", "2")
    assert any(row["kind"] == "claim" for row in run.ok("due", "--format", "json").json)

    run.ok("claim", "decide", "1", "--replace")

    assert run.ok("claims", "--open", "--format", "json").json == []
    assert run.ok("sales", "--format", "json").json[0]["state"] == "to post"

    said = run.ok("claim", "S-2025-0001", "1", "1", "--goodwill", "--animals", "2", "--note", "late, but a pity").out
    assert "met as goodwill: S-2025-0003: 2 L3 of P08 (captive bred, generation not known) sent as goodwill" in said
    run.ok("posted", "S-2025-0003")
    [goodwill] = run.ok("margin", "S-2025-0003", "--format", "json").json
    assert (goodwill["makes_good"], goodwill["price"], goodwill["cost"]) == ("S-2025-0001", "0.00", "0.00")


def test_a_fair_from_its_plan_to_its_margin_by_command(run: CommandLine, tmp_path: Path) -> None:
    run.ok("fair", "plan", "Fenlow", "--float", "50.00")
    run.ok(*["fair", "pack", "Fenlow", "A", "group", "of", "10", "from", "P08", "10", "L3", "--packs", "2"])
    run.ok(*["fair", "pack", "Fenlow", "B", "pair", "1.1", "from", "E03", "1.1", "--price", "55.00"])
    folder = tmp_path / "papers"
    folder.mkdir()
    labels = run.ok("fair", "labels", "Fenlow").lines
    assert [line for line in labels if line[:1].strip()] == ["A", "A", "B"]
    assert "  1 male adult" in labels
    prices = run.ok("fair", "prices", "Fenlow").out
    assert "pair 1.1" in prices
    assert "55.00" in prices
    assert "Fenlow" in run.ok("fair", "prices", "Fenlow", "--language", "de").out
    run.ok("fair", "labels", "Fenlow", "--to", str(folder))
    run.ok("fair", "prices", "Fenlow", "--as", "text", "--to", str(folder))
    assert sorted(path.suffix for path in folder.iterdir()) == [".pdf", ".txt"]
    run.ok("fair", "sell", "Fenlow", "a")
    run.ok("fair", "sell", "Fenlow", "B", "--by", "card")
    run.ok("fair", "change", "Fenlow", "--name", "Fenlow fair", "--float", "60.00")
    run.ok("fair", "change", "Fenlow fair", "--name", "Fenlow", "--float", "50.00")
    run.ok("fair", "spend", "Fenlow", "table fee", "25.00")
    run.ok(*["fair", "spend", "Fenlow", "mileage", "--km", "84", "--rate", "0.30"])
    rows = run.ok("fair", "packs", "Fenlow", "--format", "json").json
    assert [(row["mark"], row["sold"], row["ready"]) for row in rows] == [("A", 1, 1), ("B", 1, 0)]

    assert "a new word for what a fair costs" in run.ok(*["fair", "spend", "Fenlow", "tea", "1.00", "--from-cash"]).out
    run.ok("undo")
    run.ok(*["fair", "plan", "Wrongly", "--on", "2025-12-24"])
    assert "is called off" in run.ok("fair", "off", "Wrongly").out
    end = ["fair", "end", "Fenlow", "52.00", "--taken-out", "9.50"]

    said = run.ok(*end, "--why", "feed").out

    assert "52.00 EUR counted, 52.50 EUR expected, 0.50 EUR too little" in said
    found = run.ok("fair", "result", "Fenlow", "--format", "json").json[0]
    assert found["cash"] == "float 50.00 EUR, sales in cash 12.00 EUR, taken out -9.50 EUR"
    assert (found["sales"], found["animals"]) == (2, 12)
    assert (found["price"], found["cost"], found["costs"], found["difference"]) == ("67.00", "20.00", "50.20", "-0.50")
    assert found["margin"] == "-3.20"


def test_a_sample_a_loan_and_specimens_by_command(run: CommandLine) -> None:
    run.ok(*["give", "P08", "5", "L3", "--as", "sample", "--to", "Fenlow", "school"])
    assert run.ok("give", "list", "--format", "json").json[0]["to"] == "Fenlow school"
    run.ok(*["lend", "E03", "1", "male", "adult", "--into", "E03L", "--to", "Tarn", "--until", "1 sep"])
    [loan] = run.ok("lend", "list", "--format", "json").json
    assert (loan["lot"], loan["as"], loan["back_by"]) == ("E03L", "lent", "2025-09-01")
    assert "Back by:" in run.ok("paper", "loan", "E03L").out
    run.ok("lend", "back", "E03L")
    run.ok(*["lot", "add", "E09", "PACH", "lent in", "1", "male", "adult", "--origin", "CBU", "--supplier", "Alder"])
    run.ok("record", "E09 1 went back")
    assert [row["back_on"] for row in run.ok("lend", "list", "--format", "json").json] == [str(TODAY)] * 2
    run.ok(*["dry", "P08", "2", "adult"])

    stock = run.ok("stock", "--lot", "P08", "--format", "json").json
    assert {row["stage"]: row["count"] for row in stock} == {"L3": 25, "adult": 4, "dried specimen": 2}


def test_a_customer_from_added_to_erased_by_command(run: CommandLine) -> None:
    run.ok("customer", "add", "Zebulon", "Quaster", "--contact", "by the mill")
    run.ok(*["sell", "P08", "1", "adult", "at", "5.00", "to", "Zebulon", "Quaster", "paid"])
    assert [row["name"] for row in run.ok("customer", "find", "zeb", "--format", "json").json] == ["Zebulon Quaster"]
    assert run.ok("customer", "show", "zebulon", "quaster", "--format", "json").json["bought"] == "5.00"
    assert "trade prices" in run.ok("customer", "change", "Zebulon", "Quaster", "--prices", "trade").out
    asked = run.ok("customer", "erase", "Zebulon", "Quaster").out
    assert asked.startswith("Nothing was changed. Zebulon Quaster: name, contact and remarks erased for good")
    assert len(run.ok("customers", "--format", "json").json) == 1

    done = run.ok("customer", "erase", "Zebulon", "Quaster", "--really").out

    assert "Zebulon" not in done
    assert run.ok("customers", "--format", "json").json == []
    assert run.ok("sales", "--format", "json").json[0]["customer"] == ""
    assert "Zebulon" not in run.ok("receipt", "S-2025-0001").out


def test_reminders_warn_before_a_sale_by_command(run: CommandLine) -> None:
    run.ok("reminder", "add", "PACH", "permit", "--number", "7", "--expires", "2025-05-31", "--from", "2025-01-01")

    said = run.ok(*["sell", "P08", "1", "adult", "at", "5.00", "to", "Tarn", "paid"]).out

    assert "Caution: PACH: permit 7 expired on 31 May 2025" in said
    assert run.ok("sales", "--format", "json").json[0]["own_note"] == "PACH: permit 7 expired on 31 May 2025."
    assert "permit" not in run.ok("receipt", "S-2025-0001").out
    run.ok("reminder", "end", "1")
    assert run.ok("reminder", "--format", "json").json[0]["ended_on"] == TODAY


def test_the_method_of_deposits_by_command(run: CommandLine) -> None:
    run.ok(*["hold", "E03", "1", "male", "for", "Tarn", "until", "48h", "deposit", "5.00", "cash"])
    run.ok(*["method", "deposits", "on", "receipt", "--from", "2025-01-01"])

    lines = run.ok("income", "2025", "--format", "json").json["lines"]

    assert "5.00" in {line["accruals"] for line in lines if "counted on receipt" in line["line"]}


REFUSED = [
    ("pack group of 10", "Write the pack, from, and the animals"),
    ("pack group of 10 from P08 7 L3", "7 were chosen"),
    ("pack pair 1.1 from P08 1 L3 and E03 1 male --price 5", "takes 1.1.0 (males.females.unsexed); 1.0.1 were chosen"),
    ("pack box from P08 1 L3 --price 5 --weights 1:x", "is not a weight"),
    ("hold P08 1 adult for Tarn until 0h", "1 to 8,784 hours"),
    ("queue R-009 Fennick", "There is no hold"),
    ("queue leave 4", "There is no place 4"),
    ("queue offer R-009", "Until when"),
    ("margin S-2025-0099", "There is no sale"),
    ("refund S-2025-0099 5.00", "There is no sale"),
    ("give P08 5 L3 --as bribe", "gift, sample, own use"),
    ("give P08 500 L3", "P08"),
    ("lend E03", "Say who has them on loan"),
    ("lend back E03", "is not on a breeding loan"),
    ("wait S-2025-0099 heat", "There is no sale"),
    ("arrived S-2025-0099", "There is no sale"),
    ("claim S-2025-0099 1 1", "There is no sale"),
    ("claim S-2025-0099 1", "Write the sale, the line"),
    ("claim decide 4 --refund", "There is no claim 4"),
    ("claim decide 4 --refund --decline", "Choose one of"),
    ("parcels --cold warm", "is no temperature"),
    ("fair result Fenlow", "There is no fair"),
    ("fair sell Fenlow A", "There is no fair"),
    ("fair labels Fenlow", "There is no fair"),
    ("fair prices Fenlow --as pdf", "say with --to DIR"),
    ("fair spend Fenlow mileage", "an amount, or mileage with --km"),
    ("fair spend Fenlow mileage --km 84", "Say what a kilometre is reckoned at"),
    ("setting kilometre rate cheap", "is no rate for a kilometre"),
    ("fair plan 7", "Give the fair a name"),
    ("customer show Nobody", "There is no customer"),
    ("customer erase Nobody --really", "There is no customer"),
    ("reminder add PACH pretty", "A reminder is one of"),
    ("reminder add PACH permit", "Give the number of the permit"),
    ("reminder end 9", "There is no reminder 9"),
    ("setting post days Funday", "no days of the week"),
    ("setting post temperature hot", "no range of temperatures"),
    ("price PACH adult 5 --pack colony", "How many animals are in"),
    ("price PACH adult 5 --pack ootheca", "clutches and egg cases"),
    ("tell S-2025-0099", "There is no sale"),
]


def test_what_the_verbs_of_trade_refuse_they_refuse_in_one_sentence(
    sqlite_target: str, capsys: pytest.CaptureFixture[str]
) -> None:
    play(sqlite_target, LOFT)
    run = CommandLine(sqlite_target, capsys)
    before = content(sqlite_target)
    for line, words in REFUSED:
        ran = run(*line.split())

        assert (ran.status, ran.out) == (2, ""), (line, ran)
        assert words in one_sentence(ran.err), (line, ran.err)
    assert content(sqlite_target) == before


def test_numbers_of_papers_by_command(run: CommandLine, tmp_path: Path) -> None:
    run.ok("setting", "sale", "numbers", "RE-YYYY-0213")
    run.ok("setting", "credit", "numbers", "GS.YY-01")

    sold = run.asked("sell", "P08", "2", "L3", "at", "3.00", "each", "to", "Tarn", "paid", "card")
    assert sold["refs"]["number"] == "RE-2025-0213"
    receipt = run.ok("paper", "receipt", "re-2025-213", "--to", str(tmp_path), "--as", "text")
    assert "RE-2025-0213" in next(tmp_path.glob("*.txt")).read_text("utf-8"), receipt
    assert run.asked("credit", "RE-2025-213", "--reason", "entered by mistake")["refs"]["number"] == "GS.25-01"
    run.ok("paper", "credit", "gs.25-1", "--to", str(tmp_path), "--as", "text")

    for pattern, why in (
        ("RE-YYYY-0500", "RE-2025-0213 is given already"),
        ("GS.05-YY", "could repeat a number of GS.YY-# (credit numbers)"),
        ("2025/001", "is no pattern for numbers"),
    ):
        refused = run("setting", "sale", "numbers", pattern)
        assert refused.status == 2
        assert why in one_sentence(refused.err)
    run.ok("setting", "sale", "numbers")
    assert run.asked("sell", "P08", "1", "L3", "at", "3.00")["refs"]["number"] == "S-2025-0001"
    assert run.ok("prove").status == 0

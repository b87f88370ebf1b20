"""Lines in the trade's words become commands, or refusals that say what to write; nothing is guessed."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ledger.costs.commands import Spend, TakeOut
from ledger.errors import Ambiguous, BadInput, NotFound, Refused
from ledger.money import Currency
from ledger.selling.commands import Charge, GiveAway, LineOf, Paid, Pick, PlaceHold, Sell, SpendFromBox
from ledger.stock.commands import AddLot, Arrival, HatchOut, Mark, Move, Record, SaveRound, SetLotFact, Undo
from tests.tui.words import SETTING, TODAY, SomeWords
from tui.jot_complete import completed, completions
from tui.jot_line import line_with, read_line, read_lines
from tui.jot_trade import read_picks

YESTERDAY = TODAY - dt.timedelta(days=1)


def record(*moves: Move, lot: str = "P08", on: dt.date = TODAY, note: str = "") -> Record:
    return Record(lot, moves, on, note=note)


def marks(*marked: Mark, on: dt.date = TODAY) -> SaveRound:
    return SaveRound(marked, on)


LINES: list[tuple[str, object]] = [
    ("P08 3 died", record(Move("died", 3))),
    ("p08 3 DIED", record(Move("died", 3))),
    ("P08 1 egg missing, dried out", record(Move("missing", 1, "egg"), note="dried out")),
    ("P08 2 L3 died, heater", record(Move("died", 2, "L3", cause="exceptional"))),
    ("P08 2 L3 died, in the corner, too dry", record(Move("died", 2, "L3"), note="in the corner, too dry")),
    ("feed 24.00 for all", Spend(TODAY, "feed", 2400)),
    ("P08 2 L3 died heater", record(Move("died", 2, "L3", cause="exceptional"))),
    ("P08 2 L3 died old age", record(Move("died", 2, "L3", cause="ordinary"))),
    ("P08 about 4 L2 died", record(Move("died", 4, "L2", estimated=True))),
    ("P08 12 L3 to cocoon", record(Move("next stage", 12, "L3", to_stage="cocoon"))),
    ("P08 12 L3 to pupa", record(Move("next stage", 12, "L3", to_stage="cocoon"))),
    ("P08 L3 12 to teneral", record(Move("next stage", 12, "L3", to_stage="soft adult"))),
    ("T-1 12 larvae to pupae", record(Move("next stage", 12, "larva", to_stage="pupa"), lot="T-1")),
    ("P08/07 pupated", record(Move("next stage", 1, tub="07", to_stage="cocoon"))),
    ("T-1 9 pupated", record(Move("next stage", 9, to_stage="pupa"), lot="T-1")),
    ("P08 4 emerged", record(Move("next stage", 4, "cocoon"))),
    ("P08/07 moved on", record(Move("next stage", 1, tub="07"))),
    ("P08/07 moved on yesterday", record(Move("next stage", 1, tub="07"), on=YESTERDAY)),
    ("P08/07 moved on on 12 mar", record(Move("next stage", 1, tub="07"), on=dt.date(2025, 3, 12))),
    ("P08 4 emerged 2.2", record(*(Move("next stage", 2, "cocoon", to_sex=sex) for sex in ("male", "female")))),
    ("P08 2.2 emerged", record(*(Move("next stage", 2, "cocoon", to_sex=sex) for sex in ("male", "female")))),
    (
        "H03 1.2.1 L4-7 to adult",
        record(
            Move("next stage", 1, "L4-7", to_stage="adult", to_sex="male"),
            Move("next stage", 2, "L4-7", to_stage="adult", to_sex="female"),
            Move("next stage", 1, "L4-7", sex="unsexed", to_stage="adult"),
            lot="H03",
        ),
    ),
    (
        "H03 3 L4-7 to adult, 1 male, 1 female probable",
        record(
            Move("next stage", 1, "L4-7", to_stage="adult", to_sex="male"),
            Move("next stage", 1, "L4-7", to_stage="adult", to_sex="female", to_sure="probable"),
            Move("next stage", 1, "L4-7", to_stage="adult"),
            lot="H03",
        ),
    ),
    (
        "P08 2 L1 moulted, 3 female",
        record(Move("next stage", 2, "L1"), Move("sexed", 3, to_sex="female")),
    ),
    (
        "P08 4 L3 to cocoon, 2 adults female",
        record(Move("next stage", 4, "L3", to_stage="cocoon"), Move("sexed", 2, "adult", to_sex="female")),
    ),
    ("H03 2 L1 to soft", record(Move("next stage", 2, "L1-3", to_stage="soft adult"), lot="H03")),
    ("P08 6 L1 moulted", record(Move("next stage", 6, "L1"))),
    ("P08 6 L1 next", record(Move("next stage", 6, "L1"))),
    ("P08 30 eggs hatched", record(Move("next stage", 30, "egg"))),
    ("P08/07 female", record(Move("sexed", 1, tub="07", to_sex="female"))),
    ("P08/07 female probable", record(Move("sexed", 1, tub="07", to_sex="female", to_sure="probable"))),
    ("P08 4 adults sexed male", record(Move("sexed", 4, "adult", to_sex="male"))),
    ("P08 2.3 sexed", record(Move("sexed", 2, to_sex="male"), Move("sexed", 3, to_sex="female"))),
    (
        "P08 1.1 sexed probable",
        record(
            Move("sexed", 1, to_sex="male", to_sure="probable"), Move("sexed", 1, to_sex="female", to_sure="probable")
        ),
    ),
    ("P08 2 female adults died", record(Move("died", 2, "adult", "female"))),
    ("P08 1.2 adult died", record(Move("died", 1, "adult", "male"), Move("died", 2, "adult", "female"))),
    ("P08 0.0.3 died", record(Move("died", 3, sex="unsexed"))),
    (
        "P08 10 L3 into tubs 1-5",
        record(*(Move("tub moved", 2, "L3", to_tub=str(tub)) for tub in range(1, 6))),
    ),
    (
        "P08 3 L3 into tubs 20-22",
        record(*(Move("tub moved", 1, "L3", to_tub=str(tub)) for tub in (20, 21, 22))),
    ),
    ("P08 3 L3 into tubs 08-10", record(*(Move("tub moved", 1, "L3", to_tub=tub) for tub in ("08", "09", "10")))),
    ("P08/12 2 into tub 07", record(Move("tub moved", 2, tub="12", to_tub="07"))),
    (
        "P08/12 2.1 into tub 07",
        record(*(Move("tub moved", n, sex=sex, tub="12", to_tub="07") for sex, n in (("male", 2), ("female", 1)))),
    ),
    ("P08/07 into tub 12", record(Move("tub moved", 1, tub="07", to_tub="12"))),
    ("P08 5 found", record(Move("found", 5))),
    ("P08 5 L2 found miscounted", record(Move("found", 5, "L2", explained=True))),
    ("P08 4 given away", record(Move("given away", 4))),
    ("P08 2 missing yesterday", record(Move("missing", 2), on=YESTERDAY)),
    ("P08 2 missing last tue", record(Move("missing", 2), on=YESTERDAY)),
    ("P08 2 missing 1 day ago", record(Move("missing", 2), on=YESTERDAY)),
    ("P08 2 missing -3", record(Move("missing", 2), on=dt.date(2025, 6, 1))),
    ("P08 3 died mon", record(Move("died", 3), on=dt.date(2025, 6, 2))),
    ("P08 3 died last tuesday", record(Move("died", 3), on=YESTERDAY)),
    ("P08 3 died on last Wed", record(Move("died", 3), on=dt.date(2025, 5, 28))),
    ("feed 7.50 Ombrel last fri", Spend(dt.date(2025, 5, 30), "feed", 750, "Ombrel Leaf & Litter")),
    ("P08 3 died 28.11.", record(Move("died", 3), on=dt.date(2024, 11, 28))),
    ("P08 3 died on 1 jun", record(Move("died", 3), on=dt.date(2025, 6, 1))),
    ("P08 3 died 12 mar", record(Move("died", 3), on=dt.date(2025, 3, 12))),
    ("P08 3 died 12 March 2024", record(Move("died", 3), on=dt.date(2024, 3, 12))),
    ("P08 3 died 2025-06-01", record(Move("died", 3), on=dt.date(2025, 6, 1))),
    ("P08 3 died 1/6", record(Move("died", 3), on=dt.date(2025, 6, 1))),
    ("P08 3 died note on the 2nd shelf, heater off", record(Move("died", 3), note="on the 2nd shelf, heater off")),
    (
        "P08 3 died, 12 L3 to cocoon yesterday",
        record(Move("died", 3), Move("next stage", 12, "L3", to_stage="cocoon"), on=YESTERDAY),
    ),
    ("P08 3 L3 in no tub died", record(Move("died", 3, "L3", tub=""))),
    ("P08 3 probable female adults in tub 12 died", record(Move("died", 3, "adult", "probable female", "12"))),
    ("P08 2 from tub 12 into tub 07", record(Move("tub moved", 2, tub="12", to_tub="07"))),
    (
        "hold P08 2 adults in no tub for Tarn until fri",
        PlaceHold("Tarn", (Pick("P08", 2, "adult", tub=""),), TODAY, "2025-06-06"),
    ),
    ("P08 3 L3 died in pack A", record(Move("died", 3, "L3", pack="A"))),
    ("P08 1 in pack a died heater", record(Move("died", 1, cause="exceptional", pack="a"))),
    ("P08 1 died in pack A, heater", record(Move("died", 1, cause="exceptional", pack="A"))),
    ("P08 1.1 in pack B missing", record(*(Move("missing", 1, sex=sex, pack="B") for sex in ("male", "female")))),
    ("P08 3 L3 in pack B to cocoon", record(Move("next stage", 3, "L3", to_stage="cocoon", pack="B"))),
    ("P08 2 used as feed", record(Move("used as feed", 2))),
    ("P08 1 went back", record(Move("loan returned", 1))),
    ("H03 1 ootheca hatched 63 L1-3", HatchOut("H03", 1, 63, "L1-3", TODAY, stage="ootheca")),
    ("H03 1 hatched into 63 L1-3 yesterday", HatchOut("H03", 1, 63, "L1-3", YESTERDAY)),
    (
        "P08 laid 42 eggs as p10 yesterday note oak",
        AddLot(
            "P10",
            "PACH",
            YESTERDAY,
            (Arrival("laid", "egg", 42),),
            place="egg shelf",
            note="oak",
            mothers=("P08",),
            laid_on=YESTERDAY,
        ),
    ),
    (
        "H03/f05 1 ootheca laid as lot H04",
        AddLot(
            "H04",
            "HIER",
            TODAY,
            (Arrival("laid", "ootheca", 1),),
            place="egg shelf",
            mothers=("H03/f05",),
            laid_on=TODAY,
        ),
    ),
    (
        "P08 laid 42 eggs as p10 on rack, upper",
        AddLot(
            "P10", "PACH", TODAY, (Arrival("laid", "egg", 42),), place="rack, upper", mothers=("P08",), laid_on=TODAY
        ),
    ),
    (
        "P08 12 L1 sieved out as P10",
        AddLot("P10", "PACH", TODAY, (Arrival("hatched", "L1", 12),), place="egg shelf", mothers=("P08",)),
    ),
    (
        "P08 laid ~42 eggs as P10",
        AddLot(
            "P10",
            "PACH",
            TODAY,
            (Arrival("laid", "egg", 42, estimated=True),),
            place="egg shelf",
            mothers=("P08",),
            laid_on=TODAY,
        ),
    ),
    (
        "I01 40 mancae born as I02 on egg shelf",
        AddLot("I02", "ISO", TODAY, (Arrival("hatched", "manca", 40),), place="egg shelf", mothers=("I01",)),
    ),
    (
        "I01 ~40 young as I02",
        AddLot("I02", "ISO", TODAY, (Arrival("hatched", "manca", 40, estimated=True),), mothers=("I01",)),
    ),
    ("I01 40 mancae born", record(Move("hatched", 40, "manca"), lot="I01")),
    ("I01 born 40 yesterday", record(Move("hatched", 40, "manca"), lot="I01", on=YESTERDAY)),
    ("I01 40 mancas hatched", record(Move("hatched", 40, "manca"), lot="I01")),
    ("I01 about 40 released note bark", record(Move("hatched", 40, "manca", estimated=True), lot="I01", note="bark")),
    (
        "P08 12 L1 born as P10",
        AddLot("P10", "PACH", TODAY, (Arrival("hatched", "L1", 12),), place="egg shelf", mothers=("P08",)),
    ),
    ("P08 2 adults given away to Lena", GiveAway((Pick("P08", 2, "adult"),), TODAY, "gift", "Lena")),
    (
        "P08 1.1 adult gave away to nim yesterday note for school",
        GiveAway(
            (Pick("P08", 1, "adult", "male"), Pick("P08", 1, "adult", "female")),
            YESTERDAY,
            "gift",
            "Nim Orrel",
            "for school",
        ),
    ),
    ("P08/07 given to Lena", GiveAway((Pick("P08", 1, tub="07"),), TODAY, "gift", "Lena")),
    ("P08 ca. 40 L3 counted", marks(Mark("P08", "counted", stage="L3", count=40))),
    ("P08 counted 40", marks(Mark("P08", "counted", count=40))),
    ("P08 L3 counted 40", marks(Mark("P08", "counted", stage="L3", count=40))),
    ("P08 counted 40 L3 12 mar", marks(Mark("P08", "counted", stage="L3", count=40), on=dt.date(2025, 3, 12))),
    ("P08/12 counted 0", marks(Mark("P08", "counted", "12", count=0))),
    ("P08 about 60", marks(Mark("P08", "estimated", count=60))),
    ("P08 fed", marks(Mark("P08", "fed"))),
    ("P08 looked", marks(Mark("P08", "looked"))),
    ("P08, P09 and E03 fed", marks(Mark("P08", "fed"), Mark("P09", "fed"), Mark("E03", "fed"))),
    ("P08 P09 fed and looked", marks(*(Mark(lot, kind) for lot in ("P08", "P09") for kind in ("fed", "looked")))),
    ("Egg Shelf fed", marks(Mark("P08", "fed"), Mark("H03", "fed"))),
    ("egg shelf and T-1 looked", marks(*(Mark(lot, "looked") for lot in ("P08", "H03", "T-1")))),
    ("rack, upper fed", marks(Mark("T-1", "fed"))),
    ("rack upper, P08 fed", marks(Mark("T-1", "fed"), Mark("P08", "fed"))),
    ("P01-P09 fed yesterday", marks(Mark("P08", "fed"), Mark("P09", "fed"), on=YESTERDAY)),
    ("p09-12, H03 fed", marks(Mark("P09", "fed"), Mark("H03", "fed"))),
    ("all fed", marks(*(Mark(lot, "fed") for lot in ("P08", "P09", "H03", "T-1")))),
    ("P08 cleaned", marks(Mark("P08", "looked", note="cleaned"))),
    (
        "egg shelf fed and substrate changed note oak",
        marks(
            *(
                mark
                for lot in ("P08", "H03")
                for mark in (Mark(lot, "fed", note="oak"), Mark(lot, "looked", note="substrate changed; oak"))
            )
        ),
    ),
    ("feed fed", marks(Mark("P09", "fed"))),
    ("P08/07 seen hard", marks(Mark("P08", "seen hard", "07"))),
    ("feed 24.00 Ombrel", Spend(TODAY, "feed", 2400, "Ombrel Leaf & Litter")),
    ("feed 9.50 Kell cash", Spend(TODAY, "feed", 950, "Kell", note="paid cash")),
    ("feed 9.50 cash", Spend(TODAY, "feed", 950, note="paid cash")),
    ("feed 9.50 Kell card note of May", Spend(TODAY, "feed", 950, "Kell", note="paid card. of May")),
    ("feed 24,00 € ombrel", Spend(TODAY, "feed", 2400, "Ombrel Leaf & Litter")),
    ("feed EUR 24 New Shed Co yesterday", Spend(YESTERDAY, "feed", 2400, "Shed Co")),
    ("feed 7.50 from Ombrel", Spend(TODAY, "feed", 750, "Ombrel Leaf & Litter")),
    ("feed 7.50 Shop 24", Spend(TODAY, "feed", 750, "Shop 24")),
    ("feed 7.50 24/7 Feeds", Spend(TODAY, "feed", 750, "24/7 Feeds")),
    ("feed 7.50 Next", Spend(TODAY, "feed", 750, "Next")),
    ("feed 7.50 The Dead Wood Shop", Spend(TODAY, "feed", 750, "The Dead Wood Shop")),
    ("feed 7.50 new 100% Leaf", Spend(TODAY, "feed", 750, "100% Leaf")),
    ("feed 7.50", Spend(TODAY, "feed", 750)),
    ("feed 6.40 Ombrel from the box", SpendFromBox(Spend(TODAY, "feed", 640, "Ombrel Leaf & Litter"))),
    ("feed 6.40 Kell cash from box", SpendFromBox(Spend(TODAY, "feed", 640, "Kell", note="paid cash"))),
    (
        "feed 6.40 from the box for P08",
        SpendFromBox(Spend(TODAY, "feed", 640, scope="lots", lots=("P08",))),
    ),
    (
        "feed 6.40 Zeb unopened from the box",
        SpendFromBox(Spend(TODAY, "feed", 640, "Zeb", stored=True, quantity="1", unit="bag")),
    ),
    ("feed 7.50 New Shed Co 31.12.24", Spend(dt.date(2024, 12, 31), "feed", 750, "Shed Co")),
    ("P08 3 died on 31.12.24", record(Move("died", 3), on=dt.date(2024, 12, 31))),
    (
        "equipment 145 Nib tax 23.15 lasts 5 years note incubator",
        Spend(
            TODAY,
            "equipment",
            14500,
            "Nib & Crate Fittings",
            tax=2315,
            kind="lasting",
            life_days=1825,
            note="incubator",
        ),
    ),
    ("fair table 35.00 unpaid", Spend(TODAY, "fair table", 3500, kind="selling", scope="none", unpaid=True)),
    ("substrate 18 for P08, P09", Spend(TODAY, "substrate", 1800, scope="lots", lots=("P08", "P09"))),
    (
        "substrate 18 Ombrel for pach",
        Spend(TODAY, "substrate", 1800, "Ombrel Leaf & Litter", scope="species", species=("PACH",)),
    ),
    (
        "substrate 18.90 Ombrel unopened",
        Spend(TODAY, "substrate", 1890, "Ombrel Leaf & Litter", stored=True, quantity="1", unit="bag"),
    ),
    (
        "feed 24 Zeb into store 2.5 kg unpaid",
        Spend(TODAY, "feed", 2400, "Zeb", stored=True, quantity="2.5", unit="kg", unpaid=True),
    ),
    ("feed 24 unopened 3 bags", Spend(TODAY, "feed", 2400, stored=True, quantity="3", unit="bag")),
    *(
        (
            f"power 31.50 Stadtwerke {said}",
            Spend(
                TODAY,
                "power",
                3150,
                "Stadtwerke",
                kind="overhead",
                window_from=dt.date(2024, 11, 1),
                window_to=dt.date(2024, 11, 30),
            ),
        )
        for said in (
            "for nov",
            "for november 2024",
            "from 1 nov to 30 nov",
            "1 nov - 30 nov",
            "for 1/11/24 to 30/11/24",
        )
    ),
    (
        "power 31.50 from 1 may to 31 may unpaid yesterday note meter",
        Spend(
            YESTERDAY,
            "power",
            3150,
            kind="overhead",
            window_from=dt.date(2025, 5, 1),
            window_to=dt.date(2025, 5, 31),
            unpaid=True,
            note="meter",
        ),
    ),
    ("substrate opened", TakeOut("substrate", 1000, TODAY, used_to=TODAY + dt.timedelta(days=29))),
    (
        "feed opened 2.5 kg lasts 2 weeks for P08",
        TakeOut("feed", 2500, TODAY, used_to=TODAY + dt.timedelta(days=13), lot="P08"),
    ),
    ("hold E03 5 for Tarn until fri", PlaceHold("Tarn", (Pick("E03", 5),), TODAY, "2025-06-06")),
    (
        "hold E03 1.1 adult for Nim until 15 jun 18:00 deposit 27,50 card note both hard",
        PlaceHold(
            "Nim Orrel",
            (Pick("E03", 1, "adult", "male"), Pick("E03", 1, "adult", "female")),
            TODAY,
            "2025-06-15T18:00",
            2750,
            "card",
            "both hard",
        ),
    ),
    (
        "hold P08/07 for Someone Else until 30 jun",
        PlaceHold("Someone Else", (Pick("P08", 1, tub="07"),), TODAY, "2025-06-30"),
    ),
    ("sell E03 5 to Tarn", Sell((LineOf("E03", 5),), TODAY, "Tarn")),
    ("sell E03 5 to Tarn paid", Sell((LineOf("E03", 5),), TODAY, "Tarn", paid=(Paid(None),))),
    (
        "sell E03 2.2 to Tarn",
        Sell(
            (LineOf("E03", 2, sex="male", pack="1.1"), LineOf("E03", 2, sex="female", pack="1.1")),
            TODAY,
            "Tarn",
        ),
    ),
    ("sell E03 5 at 18.00 to Tarn paid", Sell((LineOf("E03", 5, 1800),), TODAY, "Tarn", paid=(Paid(None),))),
    ("sell E03 5 at 3.60 each paid card", Sell((LineOf("E03", 5, 1800),), TODAY, paid=(Paid(None, "card"),))),
    (
        "sell P08 10 L3 at 12 and E03 2 adults at 6 to Velo Sund by post postage 8.50 paid 26.50 transfer yesterday",
        Sell(
            (LineOf("P08", 10, 1200, "L3"), LineOf("E03", 2, 600, "adult")),
            YESTERDAY,
            "Velo Sund",
            "post",
            (Charge("postage", 850),),
            (Paid(2650, "transfer"),),
            to_post=True,
        ),
    ),
    ("sell E03 5 for 18.00 to Tarn paid", Sell((LineOf("E03", 5, 1800),), TODAY, "Tarn", paid=(Paid(None),))),
    ("sell E03 5 to Tarn for 18.00 paid", Sell((LineOf("E03", 5, 1800),), TODAY, "Tarn", paid=(Paid(None),))),
    ("sell E03 5 to new Orla for 3.60 each", Sell((LineOf("E03", 5, 1800),), TODAY, "Orla")),
    ("sell E03 5 to Tarn unpaid", Sell((LineOf("E03", 5),), TODAY, "Tarn")),
    ("sell E03 5 to Tarn at 18.00", Sell((LineOf("E03", 5, 1800),), TODAY, "Tarn")),
    ("sell E03 5 to new Food for Frogs", Sell((LineOf("E03", 5),), TODAY, "Food for Frogs")),
    ("P08 moved to rack, upper yesterday", SetLotFact("P08", "place", "rack, upper", YESTERDAY)),
    ("P08 moved to Rack upper", SetLotFact("P08", "place", "rack, upper", TODAY)),
    ("H03 stands on window sill", SetLotFact("H03", "place", "window sill", TODAY)),
    ("P08 3 L2 moved to L3", Record("P08", (Move("next stage", 3, "L2", to_stage="L3"),), TODAY)),
    ("P08 3 L3 moved to tub 07", Record("P08", (Move("tub moved", 3, "L3", to_tub="07"),), TODAY)),
    ("sell E03 2 free sample to Tarn", Sell((LineOf("E03", 2, 0, price_zero_reason="sample"),), TODAY, "Tarn")),
    ("undo", Undo()),
]


@pytest.mark.parametrize(("line", "command"), LINES, ids=[line for line, _ in LINES])
def test_a_line_becomes_the_command_it_says(line: str, command: object) -> None:
    assert read_line(line, SETTING) == command


REFUSALS: list[tuple[str, type[Refused], str]] = [
    ("feed 3,50 bramble leaf opened", Ambiguous, "is in use from its day on"),
    (
        "power 92.40 Octopus for october, 30% of it the room",
        Ambiguous,
        "(9 Settings, For your adviser: method, Business",
    ),
    ("power 92.40 Octopus for october 30%", Ambiguous, "Business part"),
    ("feed 9.00 Octopus share 30% cash", Ambiguous, 'put "30%" after the word note'),
    (
        "power 92.40 Octopus share 30%P08 2 died last",
        BadInput,
        'two lines in one: record "power 92.40 Octopus share 30%"',
    ),
    ("feed 3,50 Kell P08 2 died", BadInput, 'then "P08 2 died"'),
    ("feed 3,50 Shop P08 7 Feeds", Ambiguous, "write for P08"),
    ("feed 3,50 Kell P08", Ambiguous, "write for P08"),
    ("feed 3,50 Kell 2 dead", Ambiguous, "in a line of its own"),
    ("feed 3,50 Kell fed", Ambiguous, "in a line of its own"),
    ("feed 3,50 leaf litter from Garden centre", Ambiguous, "the supplier without from"),
    ("feed 3,50 Garden centre last", Ambiguous, '"last" alone is no day'),
    ("feed 6.40 Garden centre last tue for P08", Ambiguous, '"last tue" stands inside the line'),
    ("feed 24.00 Ombrel Leaf & Litter bramble", Ambiguous, "may be Ombrel Leaf & Litter"),
    ("feed 3,500 Garden centre yesterday note x", Ambiguous, "may mean 3500 or 3.500"),
    ("sell E03 1 adult at 3,500 to Velo yesterday paid", Ambiguous, "may mean 3500"),
    ("sell E03 1 adult to Velo for 3,500 paid mon", Ambiguous, "may mean 3500"),
    ("sell E03 1 adult at 3,50 to Nim Orrel yesterday paid", Ambiguous, "a day stands at its end"),
    ("sell E03 1 to Mei Sun paid", Ambiguous, "a day stands at its end"),
    ("sell E03 1 yesterday to Tarn paid", Ambiguous, "a day stands at its end"),
    ("hold E03 5 for Tarn yesterday until fri", BadInput, 'leave "yesterday" out'),
    ("hold E03 5 larvae for Velo until fri", Ambiguous, "L1, L2 or L3"),
    ("P08 3 died last", BadInput, "is written 28 nov, fri, last fri, yesterday or -3"),
    ("P08 3 died last week", BadInput, "last fri, yesterday or -3"),
    ("P08 3 died 28.11", BadInput, "last fri, yesterday or -3"),
    ("feed 5.10.", BadInput, '"5.10."'),
    ("sell E03 5 at 5.10.", BadInput, '"5.10."'),
    ("P08 3 died 28.13.", BadInput, "check the order"),
    ("P08 3 died yesterday heater note wet", Ambiguous, "a day stands at its end"),
    ("P08 last tuesday 3 died", Ambiguous, '"last tuesday" stands inside the line'),
    ("I01 40 mancae", Ambiguous, "Write born, died"),
    ("I01 laid 40 eggs as I02 yesterday", Ambiguous, "I01 lays no eggs"),
    ("I01 laid", Ambiguous, "I01 lays no eggs"),
    ("I01 12 adults born", BadInput, "has its young as mancas"),
    ("I01 1.1 born", BadInput, "unsexed when they are born"),
    ("I01 born", BadInput, "How many were born? Write: I01 40 mancas born"),
    ("P08 40 born", BadInput, "P08 lays eggs"),
    ("P08 40 L1 born", Ambiguous, "such as: as P10"),
    ("P08 2 given away to", BadInput, "To whom"),
    ("P08 2 given away to Velo", Ambiguous, "Velo Marrick or Velo Sund; write which, or new Velo for another customer"),
    ("P08 about 2 given away to Lena", BadInput, "Say how many went"),
    ("P08 2 given away to Lena, 1 died", BadInput, "in a line of its own"),
    ("P08 2 given away to Lena yesterday too", Ambiguous, "a day stands at its end"),
    ("P08/12 given to Lena", Ambiguous, "say how many"),
    ("", BadInput, "Write what happened"),
    ("P0 8 3 died", NotFound, "not a lot"),
    ("P8 3 died", NotFound, "Did you mean P08"),
    ("fed 24.00 Ombrel", NotFound, "Did you mean feed"),
    ("P08", BadInput, "What happened in P08"),
    ("P08 10 L3", Ambiguous, "What happened to 10 L3 of P08"),
    ("P08 died", BadInput, "How many of P08"),
    ("P08 0 died", BadInput, "Nought animals"),
    ("P08 4 L3 to cocoon 1.2", BadInput, "1.2.0 are 3 animals, and 4 moved on"),
    ("P08 2 c died", BadInput, '"c" is not something'),
    ("P08 -3 died", BadInput, '"-3" is not something'),
    ("P08 3 exploded", BadInput, '"exploded" is not something'),
    ("P08 3 died 40", BadInput, '"40" was not understood'),
    ("P08 3 died 31/2", BadInput, "not a day"),
    ("P08 3 died, 4", Ambiguous, "What happened to 4"),
    ("P08 12 larvae to cocoon", Ambiguous, "L1, L2 or L3"),
    ("P08 12 L3 to", BadInput, "which stage of P08"),
    ("P08 12 L3 to moon", BadInput, "which stage of P08"),
    ("P08/7 pupated", Ambiguous, "did you mean 07"),
    ("P08 3 in tub 7 died", Ambiguous, "did you mean 07"),
    ("P08/99 pupated", NotFound, "no tub"),
    ("P09/1 fed", NotFound, "no labelled tubs"),
    ("P08/12 pupated", Ambiguous, "holds 5 animals"),
    ("H03 3 pupated", BadInput, "no one stage"),
    ("H03 1 hatched", BadInput, "How many young"),
    ("P08 1 hatched 63 L1", BadInput, "counted one by one"),
    ("P08 10 L3 into tubs 1-3", BadInput, "do not divide evenly"),
    ("P08 10 L3 into tubs 1-900", BadInput, "not a range"),
    ("P09 10 L3 into 1-10", Ambiguous, "tubs or tub"),
    ("P08 2 into tub 7", Ambiguous, "write 07"),
    ("P08 10 L3 into tubs 1-10", Ambiguous, "write 01-10"),
    ("P08 L3 into tubs 1-10", BadInput, "How many go into"),
    ("P08 1.2.3 sexed", BadInput, "males or females"),
    ("P08 4 sexed", BadInput, "Sexed as what"),
    ("P08 3 fed", BadInput, "takes no number"),
    ("egg shelf 3 died", BadInput, "one line for each lot"),
    ("egg shelf", BadInput, "one line for each lot"),
    ("empty [/] shelf fed", BadInput, 'No lot of "empty [/] shelf" has animals'),
    ("P20-P30 fed", BadInput, 'No lot of "P20-P30" has animals'),
    ("P20-E30 fed", NotFound, "not a lot"),
    ("all 3 fed", BadInput, "one line for each lot"),
    ("P08 P09 3 died", BadInput, "one line for each lot"),
    ("P08 3 L3 moved to egg shelf", BadInput, "where a whole lot stands; write P08 moved to"),
    ("P08/07 moved to egg shelf", BadInput, "where a whole lot stands"),
    ("P08 P09 moved to egg shelf", BadInput, "one lot in a line"),
    ("P08 moved to egg shlf", Ambiguous, '"egg shlf" may be egg shelf; write which, or new egg shlf for another place'),
    ("P08 moved to sill, 3 died", BadInput, "in a line of its own"),
    ("P08 moved to egg shelf note warmer", BadInput, "without a note"),
    ("P08 moved to", BadInput, "Say the name of the place"),
    ("sell E03 5 and P08 2 to Tarn for 18.00", BadInput, "straight after the animals"),
    ("sell E03 5 at 12 to Tarn for 18.00", BadInput, "straight after the animals"),
    ("sell E03 5 for Tarn", BadInput, '"for Tarn" was not understood'),
    ("P08 laid about many eggs", BadInput, '"many" is none'),
    ("P08 laid 42 eggs", Ambiguous, "42 eggs of P08 begin a lot of their own; say its code, such as: as P10"),
    ("P08 laid", BadInput, "How many were laid"),
    ("P08 laid 42 eggs from P09", BadInput, '"from P09" was not understood'),
    ("P08 42 eggs from P09", BadInput, "Stock (n)"),
    ("P08 counted", BadInput, "how many were counted"),
    ("P08 counted many", BadInput, '"many" is none'),
    ("feed", BadInput, "How much was spent on feed"),
    ("feed 1.234 Ombrel", Ambiguous, "may mean"),
    ("feed -5 Ombrel", BadInput, "is a refund"),
    ("feed 24.00 Pel", Ambiguous, "Pellow Feeder Farm; write which, or new Pel for another supplier"),
    ("postage 24 unopened", BadInput, "Only what is used up"),
    ("feed 24 unopened for P08", BadInput, "said when it is opened"),
    ("feed opened some", BadInput, '"some" was not understood'),
    ("equipment 145 Nib", BadInput, "How long will it last"),
    ("feed 24 for nobody", BadInput, "not a species or a lot"),
    ("hold E03 5 until fri", BadInput, "For whom"),
    ("hold E03 5 for Tarn", BadInput, "Until when"),
    ("hold E03 for Tarn until fri", BadInput, "How many of E03"),
    ("hold E03 5 for Velo until fri", Ambiguous, "Velo Marrick or Velo Sund"),
    ("hold E03 5 for Tarn until fri 25:00", BadInput, "not a time of day"),
    ("hold X99 5 for Tarn until fri", BadInput, "not a lot"),
    ("sell E03 5 by pigeon", BadInput, "Sold by"),
    ("sell E03 5 free to Tarn", BadInput, "Why free"),
    ("sell", BadInput, "Of which lot"),
    ("sell E03 5 at 18.00 to Tarn paid fair", BadInput, "and by fair before it"),
    ("sell E03 5 to Tarn unpaid paid", BadInput, "Paid or unpaid"),
    ("P08 1 died in pack", BadInput, "In which pack"),
    ("P08 in pack A fed", BadInput, "take the pack apart first"),
    ("P08 1.1 in pack A sexed", BadInput, "take the pack apart first"),
]


def test_a_pack_offered_by_the_ledger_is_put_into_the_line() -> None:
    line = line_with("P08 4 L3 died heater", "P08 in pack B", SETTING)

    assert line == "P08 4 in pack B L3 died heater"
    assert read_line(line, SETTING) == record(Move("died", 4, "L3", cause="exceptional", pack="B"))


@pytest.mark.parametrize(("line", "kind", "words"), REFUSALS, ids=[line or "(empty)" for line, _, _ in REFUSALS])
def test_a_line_that_cannot_be_read_is_refused_in_words(line: str, kind: type[Refused], words: str) -> None:
    with pytest.raises(kind) as refused:
        read_line(line, SETTING)

    assert words in refused.value.sentence
    assert type(refused.value) is kind


@pytest.mark.parametrize(
    "line",
    [
        "P08 12 larvae to cocoon yesterday note wet",
        "P08/7 pupated",
        "P08/12 pupated",
        "P08 10 L3",
        "P09 10 L3 into 1-10",
        "P08 10 L3 into tubs 1-10",
        "hold E03 5 for Velo until fri",
        "feed 24.00 Pel",
        "P08 laid 42 eggs yesterday",
    ],
)
def test_each_choice_offered_is_a_line_that_records_something_else_than_the_others(line: str) -> None:
    with pytest.raises(Ambiguous) as refused:
        read_line(line, SETTING)

    commands = [read_line(choice, SETTING) for choice in refused.value.choices]
    assert commands
    assert len(set(map(repr, commands))) == len(commands)


def kept(line: str, choice: str) -> bool:
    """Whether a choice has all words of a line, but for one that is said otherwise, in whatever order."""
    parts = {word.casefold(): line.casefold().split().count(word.casefold()) for word in line.replace(",", " ").split()}
    offered = choice.casefold().replace(",", " ").replace(";", " ").split()
    lost = {word for word, many in parts.items() if offered.count(word) < min(many, 1)}
    days = {"yesterday", "mon", "fri", "tue", "tuesday", "last", "note", "wet", "x", "cash", "paid", "until"}
    return len(lost) <= MOST_OTHERWISE and not lost & days


MOST_OTHERWISE = 2
"""Words of a line that an answer may say otherwise: a name, a stage and the like."""
QUESTIONED = [line for line, kind, _ in REFUSALS if kind is Ambiguous]


@pytest.mark.parametrize("line", QUESTIONED)
def test_each_line_offered_is_whole_keeps_all_that_was_typed_and_can_be_read(line: str) -> None:
    with pytest.raises(Ambiguous) as refused:
        read_line(line, SETTING)

    assert refused.value.choices or line == "I01 laid"
    for choice in refused.value.choices:
        read_line(choice, SETTING)
        assert kept(line, choice), choice


def test_a_line_that_lost_its_day_or_its_amount_would_be_found_out() -> None:
    assert not kept("sell E03 1 to Nim yesterday paid", "sell E03 1 to Nim Orrel paid")
    assert not kept("feed 3,500 Garden centre yesterday", "3500.00")
    assert kept("feed 3,500 Garden centre yesterday", "feed 3500.00 Garden centre yesterday")


def test_the_answers_to_two_questions_are_offered_together() -> None:
    with pytest.raises(Ambiguous) as refused:
        read_line("sell E03 1 larva to Velo Su yesterday paid", SETTING)

    assert refused.value.choices[:2] == (
        "sell E03 1 L1 to Velo Sund paid yesterday",
        "sell E03 1 L1 to new Velo Su paid yesterday",
    )


def test_a_day_with_dots_is_read_in_the_keepers_order() -> None:
    american = replace(SETTING, order="mdy")

    assert read_line("P08 3 died 11.28.", american) == record(Move("died", 3), on=dt.date(2024, 11, 28))
    with pytest.raises(BadInput, match="no month 28"):
        read_line("P08 3 died 28.11.", american)


def test_what_a_new_supplier_is_questioned_about_passes_of_a_known_one() -> None:
    names = ("Opened Bag 30%", "Kell P08")
    setting = replace(SETTING, vocabulary=SomeWords(suppliers=names))

    for name in names:
        assert read_line(f"feed 7.50 {name}", setting) == Spend(TODAY, "feed", 750, name)
        with pytest.raises(Ambiguous):
            read_line(f"feed 7.50 {name}", SETTING)


def test_a_choice_keeps_the_day_and_the_note_of_the_line() -> None:
    with pytest.raises(Ambiguous) as refused:
        read_line("P08 12 larvae to cocoon yesterday note wet", SETTING)

    assert refused.value.choices[-1] == "P08 12 L3 to cocoon yesterday note wet"


@pytest.mark.parametrize(
    ("line", "choice", "whole"),
    [
        ("P08 3 died yesterday", "P08/12 L3 female", "P08/12 3 L3 female died yesterday"),
        ("P08 3 L3 died", "P08 L3 in no tub", "P08 3 L3 in no tub died"),
        ("P08 3 adults died", "P08 adult male", "P08 3 adult male died"),
        ("P08 3 died", "P08 soft adult probable male", "P08 3 soft adult probable male died"),
        ("hold E03 5 for Tarn until fri", "E03 adult", "hold E03 5 adult for Tarn until fri"),
        ("sell E03 5 at 18.00 to Tarn", "E03 adult male", "sell E03 5 adult male at 18.00 to Tarn"),
    ],
)
def test_a_choice_of_the_ledger_goes_into_the_line(line: str, choice: str, whole: str) -> None:
    assert line_with(line, choice, SETTING) == whole
    read_line(whole, SETTING)


def test_a_choice_that_does_not_fit_the_line_is_not_offered() -> None:
    assert line_with("P08 3 died", "E03 L3", SETTING) is None
    assert line_with("P08 fed", "P08 3 nonsense", SETTING) is None


def test_pasted_lines_are_read_each_on_its_own() -> None:
    lines = read_lines("P08 3 died\n\n  nonsense \nP08 fed\r\n", SETTING)

    assert [line.text for line in lines] == ["P08 3 died", "nonsense", "P08 fed"]
    assert [type(line.command) for line in lines] == [Record, type(None), SaveRound]
    assert [line.refusal is None for line in lines] == [True, False, True]


def test_the_order_of_day_and_month_is_the_keepers() -> None:
    american = replace(SETTING, order="mdy")

    assert read_line("P08 3 died 3/1", american) == record(Move("died", 3), on=dt.date(2025, 3, 1))
    assert read_line("P08 3 died 3/1", SETTING) == record(Move("died", 3), on=dt.date(2025, 1, 3))


def test_a_currency_without_decimals_takes_whole_amounts() -> None:
    yen = replace(SETTING, currency=Currency("JPY", 0))

    assert read_line("feed 2400 Ombrel", yen) == Spend(TODAY, "feed", 2400, "Ombrel Leaf & Litter")


@given(
    st.lists(
        st.sampled_from(
            [
                "P08",
                "P08/07",
                "P08-P09",
                "egg",
                "shelf",
                "all",
                "cleaned",
                "E03",
                "H03",
                "3",
                "2.1",
                "0",
                "L3",
                "larva",
                "to",
                "into",
                "tubs",
                "1-10",
                "died",
                "fed",
                "counted",
                "female",
                "sexed",
                "hatched",
                "about",
                ",",
                "and",
                "hold",
                "sell",
                "feed",
                "24,00",
                "for",
                "until",
                "fri",
                "at",
                "each",
                "paid",
                "free",
                "note",
                "on",
                "12 mar",
                "Tarn",
                "new",
                "[/",
                "\x1b[2J",
                "É",
                "²",
                "٣",
            ]
        ),
        max_size=9,
    ).map(" ".join)
)
@example("note")
@example("P08 ²  died")
@example("P08 ٣ died")
@example("sell P08 5 at ٣")
def test_any_line_is_either_read_or_refused_in_one_sentence(line: str) -> None:
    (read,) = read_lines(line, SETTING) or (None,)

    if read is not None and read.command is None:
        assert read.refusal is not None
        assert read.refusal.sentence
        assert "\x1b" not in read.refusal.sentence


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("", ("P08", "P09", "E03")),
        ("pow", ("power",)),
        ("P08 3 di", ("died",)),
        ("P08 3 L3 to co", ("cocoon",)),
        ("P08 3 L3 to ", ("cocoon", "soft adult", "adult")),
        ("H03 2 to ", ("L1-3", "L4-7", "soft adult", "adult")),
        ("P08/0", ("P08/07",)),
        ("egg", ("egg shelf",)),
        ("egg shelf cl", ("cleaned",)),
        ("all f", ("fed",)),
        ("hold E03 5 for ", ("Tarn", "Velo Marrick")),
        ("hold E03 5 for Tarn until f", ("fri",)),
        ("feed 24.00 O", ("Ombrel Leaf & Litter",)),
        ("feed 24.00 Nib & C", ("Nib & Crate Fittings",)),
        ("feed 24.00 f", ("for", "Nib & Crate Fittings")),
        ("feed 24.00 Zeb for P", ("PACH", "P08", "P09")),
        ("sell P08 2 to ", ("Tarn", "Velo Marrick")),
        ("sell P08 2 to Velo ", ("Velo Marrick", "Velo Sund")),
        ("sell P08 2 to marr", ("Velo Marrick",)),
        ("sell P08 2 to Tarn ", ("at", "to", "paid")),
        ("hold E03 5 for Velo Marrick un", ("until",)),
    ],
)
def test_words_that_may_come_next_are_offered(typed: str, offered: tuple[str, ...]) -> None:
    assert completions(typed, SETTING.vocabulary)[: len(offered)] == offered


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ("P08 3 di", "P08 3 died "),
        ("sell P08 2 to Velo M", "sell P08 2 to Velo Marrick "),
        ("sell P08 2 to Velo ", "sell P08 2 to Velo Marrick "),
        ("sell  P08 2 to  velo  s", "sell  P08 2 to  Velo Sund "),
        ("feed 24.00 Nib & C", "feed 24.00 Nib & Crate Fittings "),
        ("feed 24.00 ", "feed 24.00 Ombrel Leaf & Litter "),
    ],
)
def test_a_name_is_completed_whole(typed: str, line: str) -> None:
    assert completed(typed, SETTING.vocabulary)[0] == line


def test_reading_a_line_loads_no_screen_library() -> None:
    code = "import sys, tui.jot_line, tui.jot_complete; print('textual' in sys.modules, 'rich' in sys.modules)"

    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert told.stdout.split() == ["False", "False"]


def test_an_instar_without_its_noun_is_the_stage_that_begins_so_and_a_refusal_names_the_stages() -> None:
    nymphs = (("egg", "animal"), ("L1-3 nymph", "animal"), ("L4-6 nymph", "animal"), ("adult", "animal"))
    setting = replace(SETTING, vocabulary=SomeWords(stages={"E08": nymphs}))

    assert read_picks("E08 5 L4-6", setting) == [Pick("E08", 5, "L4-6 nymph")]
    assert read_picks("E08 5 l4-6 nymphs", setting) == [Pick("E08", 5, "L4-6 nymph")]
    with pytest.raises(BadInput, match=r"Stages of E08: egg, L1-3 nymph, L4-6 nymph, adult\."):
        read_picks("E08 5 L9", setting)


@pytest.mark.parametrize("line", ["P08 {n} died", "P08 1.{n} adult died", "P08 counted {n}", "sell P08 {n} adult",
                                  "equipment 5 Nib lasts {n} years"])  # fmt: skip
def test_a_number_of_more_digits_than_can_be_is_refused_in_words(line: str) -> None:
    with pytest.raises(BadInput, match="5000 digits is too large"):
        read_line(line.format(n="9" * 5000), SETTING)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("P08 3 died, pupatd", "is not something that happens"),
        ("P08 3 died, femle", "is not something that happens"),
        ("P08 3 died and dried out", "How many of P08"),
        ("P08 3 L3 split", "press /"),
        ("P08 3 L3 paired", "choose Together"),
        ("feed 24.00 for al", "or for all"),
        ("P08 1 L3 found note ", "Write the reason or remark"),
        ("P08 laid 42 eggs as P10 on attic", '"attic" is no place'),
    ],
)
def test_what_is_no_remark_and_what_is_done_by_a_key_is_refused_with_the_way(line: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        read_line(line, SETTING)
    assert said in refused.value.sentence

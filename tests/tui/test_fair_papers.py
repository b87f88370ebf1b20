"""Labels and the price list of the packs of a fair: what a buyer at the table reads."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from unittest.mock import patch

import pytest

from exports.documents.as_text import as_text
from exports.documents.fair_papers import fair_prices, pack_labels
from exports.documents.house import House
from exports.documents.sheets import USUAL, read_sheet
from ledger.costs.commands import Spend
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.selling.commands import PackForFair, Pick, PlanFair, SellFairPack, SpendFromBox
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, OriginStatement, StageSpec
from tests.tui.business import TODAY
from tui.forms.animals import GoneForm
from tui.forms.costs import SpendForm
from tui.forms.papers import LabelsForm
from tui.jot_words import Setting
from tui.places.fair_papers import _labels
from tui.places.ready import ReadyPlace
from tui.verbs.documents import PRINT_AT


def test_each_ready_pack_has_a_label_with_mark_animals_sexes_price_and_origin(loft: Ledger, tmp_path: Path) -> None:
    loft.do(PlanFair("Fenlow fair", TODAY))
    with pytest.raises(Refused, match="stands ready"):
        pack_labels(loft, "Fenlow fair", House(loft))
    loft.do(PackForFair("Fenlow fair", "A", "group of 2", (Pick("P08", 2, "L3"),), 3, 300))
    loft.do(PackForFair("Fenlow fair", "B", "single", (Pick("P08", 1, "adult", "female"),), 1, 450))
    loft.do(SellFairPack("Fenlow fair", "A", TODAY))

    made = pack_labels(loft, "Fenlow fair", House(loft))
    prices = as_text(fair_prices(loft, "Fenlow fair", House(loft)))
    german = as_text(fair_prices(loft, "Fenlow fair", House(loft, "de")))

    assert [one.code for one in made] == ["A", "A", "B"]
    assert made[0].lines[0].startswith("group of 2: ")
    assert "3.00" in made[0].lines[0]
    assert "2 L3" in made[0].lines
    assert "1 female adult" in made[2].lines
    assert made[2].lines[-1] == "captive bred, generation not known"
    assert all("P08" not in line for one in made for line in one.lines)
    for said in ("A ", "group of 2", "3.00", "1 female adult", "captive bred", "Fenlow fair", "While stocks last."):
        assert said in prices
    assert "P08" not in prices
    assert "captive bred" not in german

    values = {"sheet": read_sheet(USUAL), "start": 1, "shift": (0.0, 0.0), "outline": "no"}
    written = _labels(loft, "Fenlow fair", tmp_path, values)
    assert written.answer.state == "done"
    assert PRINT_AT in written.answer.sentence
    assert sorted(path.suffix for path in tmp_path.iterdir() if path.name.startswith("labels")) == [".pdf", ".txt"]


def test_the_form_of_what_is_gone_asks_for_the_pack_only_where_some_are_packed(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    lent = SimpleNamespace(vocabulary=loft.vocabulary())
    monkeypatch.setattr(GoneForm, "desk", SimpleNamespace(ledger=loft, jot_setting=lambda: lent, order="dmy"))
    form = GoneForm("P08")
    assert "pack" not in [spec.key for spec in form.specs()]
    loft.do(PlanFair("Fenlow fair", TODAY))
    loft.do(PackForFair("Fenlow fair", "A", "group of 2", (Pick("P08", 2, "L3"),), 3, 300))

    (spec,) = [spec for spec in form.specs() if spec.key == "pack"]
    said = {"count": ((None, 1),), "reason": "died", "stage": "L3", "sex": None, "tub": None, "cause": "unknown"}
    command = form.command({**said, "on": TODAY, "note": "", "pack": spec.read("A")})

    assert (spec.start, spec.choices, spec.read("none")) == ("none", ("none", "A"), "")
    assert "(pack A for Fenlow fair)" in loft.preview(command).sentence


def test_a_label_counts_every_animal_of_a_pack_of_several_lots_and_species(loft: Ledger) -> None:
    """1.1 of one lot and a male of another are 2 males and 1 female; 1 adult of each of two species are two animals."""
    loft.do(PlanFair("Fenlow fair", TODAY))
    loft.do(
        DescribeSpecies("XYLO", "Xylota inventa", "log beetle", "beetle", (StageSpec("adult", saleable=True),), "adult")
    )
    born = OriginStatement("CB", generation=1)
    for lot, species, males, females in (("X1", "PACH", 1, 1), ("X2", "PACH", 1, 0), ("X3", "XYLO", 1, 0)):
        loft.do(AddLot(lot, species, TODAY, (Arrival("opening", "adult", males=males, females=females),), origin=born))
    of = (Pick("X1", 1, "adult", "male"), Pick("X1", 1, "adult", "female"), Pick("X2", 1, "adult", "male"))
    loft.do(PackForFair("Fenlow fair", "M", "pack of 4", (*of, Pick("X3", 1, "adult", "male")), 1, 900))

    [label] = pack_labels(loft, "Fenlow fair", House(loft))
    counted = [line for line in label.lines if line.endswith(("male adult", "male adults"))]
    prices = as_text(fair_prices(loft, "Fenlow fair", House(loft)))

    assert counted == ["2 male adults", "1 female adult", "1 male adult"]
    assert "2 male adults" in prices

    # What is packed is as good as promised, in the column and in the sum below it.
    place = ReadyPlace()
    place.rows_of(loft.ready())
    assert " · 6 aside · " in place.sum_up()  # 4 in the pack, 2 for Tarn


def test_a_form_that_asks_for_a_paper_does_not_say_it_is_written_yet() -> None:
    form = LabelsForm.__new__(LabelsForm)
    with patch.object(LabelsForm, "desk", SimpleNamespace(papers="papers")):
        assert form.said_of({}) == "Will be written into papers as PDF and as text."


def test_the_form_of_a_cost_has_the_box_of_a_fair_as_one_of_the_ways_to_pay_while_one_is_open(loft: Ledger) -> None:
    form, setting = SpendForm(), Setting(loft.vocabulary(), loft.today, loft.currency)
    with patch.object(SpendForm, "desk", SimpleNamespace(ledger=loft, order="dmy", jot_setting=lambda: setting)):
        ways = [[one for spec in form.specs() if spec.key == "paid" for one in spec.choices]]
        loft.do(PlanFair("Fenlow fair", TODAY))
        ways += [[one for spec in form.specs() if spec.key == "paid" for one in spec.choices]]
        values = {spec.key: spec.read(spec.start) for spec in form.specs() if spec.key not in ("category", "gross")}
        command = form.command({**values, "category": "feed", "gross": 640, "paid": "from the box"})

    assert ways == [["now", "not yet"], ["now", "not yet", "from the box"]]
    assert command == SpendFromBox(Spend(TODAY, "feed", 640))

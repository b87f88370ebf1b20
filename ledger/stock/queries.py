"""Every question the stock answers, under one roof: names, figures, what is alive, the journal, earmarks, checks.

The functions live in modules of their own; each opens no transaction and writes nothing.
"""

from __future__ import annotations

from ledger.stock.checks import last_rounds
from ledger.stock.earmarks import Earmark, earmarks, shorts
from ledger.stock.figures import Figures, figures, lot_fact, lot_facts
from ledger.stock.holdings import Chosen, HoldingKey, choose_holdings
from ledger.stock.journal import counts_on, depths, events, newest_day
from ledger.stock.layering import layers_of
from ledger.stock.layers import Layer, Layers, Readiness, readiness
from ledger.stock.naming import (
    LotRef,
    SpeciesRef,
    StageRef,
    all_species,
    find_lot,
    find_species,
    find_stage,
    lots_by_id,
    stages,
    stages_by_id,
)
from ledger.stock.stock_rows import LotRow, StageCount, StockRow, lot_rows, stock_on
from ledger.stock.story import MovementRow, StoryRow, lot_story, movement_rows
from ledger.stock.words import animals, by_sex, sex_words, stage_words

__all__ = [
    "Chosen",
    "Earmark",
    "Figures",
    "HoldingKey",
    "Layer",
    "Layers",
    "LotRef",
    "LotRow",
    "MovementRow",
    "Readiness",
    "SpeciesRef",
    "StageCount",
    "StageRef",
    "StockRow",
    "StoryRow",
    "all_species",
    "animals",
    "by_sex",
    "choose_holdings",
    "counts_on",
    "depths",
    "earmarks",
    "events",
    "figures",
    "find_lot",
    "find_species",
    "find_stage",
    "last_rounds",
    "layers_of",
    "lot_fact",
    "lot_facts",
    "lot_rows",
    "lot_story",
    "lots_by_id",
    "movement_rows",
    "newest_day",
    "readiness",
    "sex_words",
    "shorts",
    "stage_words",
    "stages",
    "stages_by_id",
    "stock_on",
]

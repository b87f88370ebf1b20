"""How the commands of the stock are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.stock import commands as c
from ledger.stock import facts, keeping, lots, recording, reversing, rounds, setting, species, splitting, undoing
from ledger.stock.merging import merge_handler, not_siblings

HANDLERS: dict[type, Handler] = {
    c.AddSpecies: Handler(species.plan_add, species.commit_species),
    c.DescribeSpecies: Handler(species.plan_describe, species.commit_species),
    c.SetFigure: Handler(setting.plan_figure, setting.commit_figure),
    c.AddLot: Handler(lots.plan_lot, lots.commit_lot),
    c.SetLotFact: Handler(facts.plan_fact, facts.commit_fact),
    c.Record: Handler(recording.plan_record, recording.commit_entries),
    c.HatchOut: Handler(recording.plan_hatch, recording.commit_entries),
    c.Reverse: Handler(reversing.plan_reverse, recording.commit_entries),
    c.Correct: Handler(reversing.plan_correct, recording.commit_entries),
    c.Undo: Handler(undoing.plan_undo, undoing.commit_undo),
    c.SaveRound: Handler(rounds.plan_round, rounds.commit_round),
    c.SplitLot: Handler(splitting.plan_split, splitting.commit_relot),
    c.MergeLots: merge_handler(not_siblings),
    c.KeepBack: Handler(keeping.plan_keep, keeping.commit_keep),
    c.FreeKept: Handler(keeping.plan_free, keeping.commit_free),
}
"""`MergeLots` is strict here: whoever knows origins puts `merge_handler` with its own knowledge in its place."""

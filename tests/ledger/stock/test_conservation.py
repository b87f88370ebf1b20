"""Whatever is recorded, corrected and taken back: animals in = animals out + animals there, on every date (P4)."""

from __future__ import annotations

import datetime as dt
import shutil
import tempfile
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from sqlalchemy import select, update

from ledger.errors import Refused
from ledger.records import tables as t
from ledger.records.store import open_store
from ledger.stock import earmarks
from ledger.stock.commands import (
    AddLot,
    Arrival,
    Correct,
    KeepBack,
    Mark,
    MergeLots,
    Move,
    Part,
    Record,
    Reverse,
    SaveRound,
    SplitLot,
    Undo,
)
from ledger.stock.queries import StockRow, events, stock_on
from tests.ledger.stock.keeper import TODAY, Keeper, settled

STAGES = ("L1", "L2", "L3", "pupa", "adult")
days_ago = st.sampled_from((0, 0, 0, 0, 1, 2, 3, 10, 30))
counts = st.integers(1, 6)
anything = st.integers(0, 99)
tubs = st.sampled_from((None, None, "", "1", "2"))
sexes = st.sampled_from((None, None, "male", "unsexed"))


class Loft(RuleBasedStateMachine):
    """A keeper at work, with a plain model beside the ledger: how many animals are in it at all."""

    template: Path

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.file = self.folder / "loft.ledger"
        shutil.copyfile(self.template, self.file)
        self.file.chmod(0o600)
        self.keeper = Keeper(open_store(str(self.file)))
        self.lots = ["P08"]
        self.made = 0

    def teardown(self) -> None:
        self.keeper.store.close()
        shutil.rmtree(self.folder)

    @initialize()
    def start(self) -> None:
        settled(self.keeper)

    def say(self, command: object) -> bool:
        """Say it; a refusal is fine as long as it changes nothing."""
        before = self.file.read_bytes()
        try:
            self.keeper.do(command)
        except Refused as refused:
            refusal = refused
        else:
            return True
        assert refusal.sentence[-1] in ".?"
        assert self.file.read_bytes() == before
        return False

    def on(self, ago: int) -> dt.date:
        return TODAY - dt.timedelta(days=ago)

    def lot(self, which: int) -> str:
        return self.lots[which % len(self.lots)]

    def some(self, which: int) -> StockRow | None:
        """A holding that has animals now, or nothing in an empty loft."""
        rows = self.keeper.ask(stock_on)
        return rows[which % len(rows)] if rows else None

    @rule(which=anything, reason=st.sampled_from(("died", "missing", "culled", "given away", "escaped")), n=counts,
          ago=days_ago, vague=st.booleans())  # fmt: skip
    def goes(self, which: int, reason: str, n: int, ago: int, vague: bool) -> None:
        if row := self.some(which):
            said = {} if vague else {"stage": row.stage, "sex": row.sex, "tub": row.tub}
            self.say(Record(row.lot, (Move(reason, min(n, row.count), **said),), self.on(ago)))

    @rule(which=anything, n=counts, to=st.sampled_from(STAGES), to_tub=tubs, to_sex=sexes, ago=days_ago)
    def moves_on(self, which: int, n: int, to: str, to_tub: str | None, to_sex: str | None, ago: int) -> None:
        if row := self.some(which):
            move = Move("next stage", min(n, row.count), row.stage, row.sex, row.tub, to, to_sex, to_tub=to_tub)
            self.say(Record(row.lot, (move,), self.on(ago)))

    @rule(which=anything, n=counts, to_tub=st.sampled_from(("", "1", "2", "3")), ago=days_ago)
    def changes_tub(self, which: int, n: int, to_tub: str, ago: int) -> None:
        if row := self.some(which):
            move = Move("tub moved", min(n, row.count), row.stage, row.sex, row.tub, to_tub=to_tub)
            self.say(Record(row.lot, (move,), self.on(ago)))

    @rule(which=anything, n=counts, stage=st.sampled_from(STAGES), tub=tubs, ago=days_ago)
    def is_found(self, which: int, n: int, stage: str, tub: str | None, ago: int) -> None:
        self.say(Record(self.lot(which), (Move("found", n, to_stage=stage, tub=tub),), self.on(ago)))

    @rule(which=anything, n=counts, ago=days_ago)
    def lives_and_dies_in_a_day(self, which: int, n: int, ago: int) -> None:
        moves = (
            Move("died", n, stage="adult"),
            Move("found", n, to_stage="pupa", sex="unsexed", tub=""),
            Move("next stage", n, stage="pupa", to_stage="adult", sex="unsexed", tub=""),
        )
        self.say(Record(self.lot(which), moves, self.on(ago)))

    @rule(back=st.integers(1, 12))
    def is_taken_back(self, back: int) -> None:
        self.say(Reverse(max(1, len(self.keeper.ask(events)) + 1 - back)))

    @rule(back=st.integers(1, 12), which=anything, n=counts, ago=days_ago)
    def is_corrected(self, back: int, which: int, n: int, ago: int) -> None:
        if row := self.some(which):
            instead = Record(row.lot, (Move("died", n, row.stage, row.sex, row.tub),), self.on(ago))
            self.say(Correct(max(1, len(self.keeper.ask(events)) + 1 - back), instead))

    @rule()
    def is_undone(self) -> None:
        self.say(Undo())

    @rule(which=anything, n=counts, ago=days_ago)
    def splits(self, which: int, n: int, ago: int) -> None:
        if row := self.some(which):
            self.made += 1
            part = Part(min(n, row.count), row.stage, row.sex, row.tub)
            if self.say(SplitLot(row.lot, f"S{self.made}", (part,), self.on(ago))):
                self.lots.append(f"S{self.made}")

    @rule(one=anything, other=anything, ago=days_ago)
    def merges(self, one: int, other: int, ago: int) -> None:
        self.made += 1
        code = f"M{self.made}"
        both = (self.lot(one), self.lot(other))
        if self.say(MergeLots(both, code, self.on(ago), "mixed by accident")):
            self.lots.append(code)

    @rule(n=counts, stage=st.sampled_from(STAGES), ago=days_ago)
    def lot_arrives(self, n: int, stage: str, ago: int) -> None:
        self.made += 1
        code = f"A{self.made}"
        if self.say(AddLot(code, "BEET", self.on(ago), (Arrival("bought", stage, unsexed=n, males=1),))):
            self.lots.append(code)

    @rule(which=anything, n=counts)
    def is_kept_back(self, which: int, n: int) -> None:
        if row := self.some(which):
            self.say(KeepBack(row.lot, min(n, row.free or 1), "old", TODAY, row.stage, row.sex, row.tub))

    @rule(which=st.integers(0, 3))
    def is_given_free(self, which: int) -> None:
        live = self.keeper.ask(earmarks.earmarks)
        if live:
            number = live[which % len(live)].id
            self.keeper.act(lambda conn, act: earmarks.free(conn, act, number))

    @rule(which=anything, ago=days_ago, all_tubs=st.booleans())
    def is_seen_hard(self, which: int, ago: int, all_tubs: bool) -> None:
        if row := self.some(which):
            mark = Mark(row.lot, "seen hard", "" if all_tubs else row.tub, row.stage)
            self.say(SaveRound((mark,), self.on(ago)))

    @invariant()
    def what_is_kept_follows_from_the_journals(self) -> None:
        assert self.keeper.proof() == []

    @invariant()
    def animals_in_are_animals_out_and_there_on_every_date(self) -> None:
        came: dict[int, int] = defaultdict(int)
        for event in self.keeper.ask(events):
            came[event.happened_on] += event.count * ((event.from_lot is None) - (event.to_lot is None))
        total = 0
        for day in sorted(came):
            total += came[day]
            rows = self.keeper.ask(stock_on, dt.date.fromordinal(day))
            assert sum(row.count for row in rows) == total
        assert sum(row.count for row in self.keeper.ask(stock_on)) == total


def run(
    machine: type[Loft], template: Path, examples: int, steps: int, phases: tuple[Phase, ...] = tuple(Phase)
) -> None:
    machine.template = template
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            phases=phases,
            print_blob=True,
            report_multiple_bugs=False,
        ),
    )


def test_animals_are_conserved_whatever_is_recorded(sqlite_template: Path) -> None:
    run(Loft, sqlite_template, 10, 20)


def lose_one(keeper: Keeper) -> None:
    """The fault of the negative control: a count changed beside the journal."""
    with keeper.store.writing() as conn:
        first = conn.execute(select(t.holding.c.id).where(t.holding.c.count > t.holding.c.earmarked)).scalar()
        if first is not None:
            conn.execute(update(t.holding).where(t.holding.c.id == first).values(count=t.holding.c.count - 1))


class Leaky(Loft):
    """The same keeper with a leak."""

    @rule(leak=st.just(lose_one))
    def leaks(self, leak: Callable[[Keeper], None]) -> None:
        leak(self.keeper)


def test_a_leak_would_be_noticed(sqlite_template: Path) -> None:
    with pytest.raises(AssertionError):
        run(Leaky, sqlite_template, 200, 10, (Phase.generate,))

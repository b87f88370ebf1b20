"""A ledger that only remembers what it was told, and one small place, for tests of the frame around them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from textual.widget import Widget

from ledger.act import Done, Scene
from ledger.errors import NotEnough, Refused
from ledger.money import Currency
from ledger.stock.commands import Move, Record
from tests.tui.words import SomeWords
from tui.actions import Act
from tui.app import Desk
from tui.frame import Place
from tui.widgets.fields import FieldSpec, amount, in_days, in_money, nothing_beside, text, whole
from tui.widgets.fields import day as a_day
from tui.widgets.form import Form
from tui.widgets.paged import Column, Page, PagedList, Row

TODAY = dt.date(2025, 6, 4)
EUR = Currency("EUR", 2)


@dataclass(frozen=True, slots=True)
class Said:
    sentence: str
    cautions: tuple[str, ...] = ()


@dataclass
class FakeLedger:
    """Refuses to let more than fourteen die; keeps everything else by its token."""

    name: str = "Quillmere [/Loft]"
    currency: Currency = EUR
    today: dt.date = TODAY
    kept: dict[str, object] = field(default_factory=dict)
    asked: int = 0
    broken: Exception | None = None

    @property
    def scene(self) -> Scene:
        return Scene(self.today, f"{self.today}T10:00", self.currency)

    def state(self) -> None:
        """Nothing tells whether something was recorded."""

    def ask(self, question: object, *given: object) -> int:
        """How many movements or holdings there are: none, so that nothing is asked aside."""
        return 0

    def preview(self, command: object) -> Said:
        self.asked += 1
        if self.broken is not None:
            raise self.broken
        if isinstance(command, Record) and any(move.count > 14 for move in command.moves):
            raise NotEnough("P08 has only 14 L3; you said more.", field="count")
        return Said(f"Would record {type(command).__name__}.")

    def do(self, command: object, *, token: str, source: str = "command") -> Done:
        self.preview(command)
        assert source == "screen"
        self.kept.setdefault(token, command)
        return Done(f"{type(command).__name__} [recorded].")


class DeathForm(Form):
    WHERE = "deaths"

    def heading(self) -> str:
        return f"Deaths in {self.subject}"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("count", "how many", whole("animals"), "1", nothing_beside),
            FieldSpec("on", "when", a_day(TODAY), "today", in_days),
            FieldSpec("value", "worth", amount(EUR, empty=0), "", in_money(EUR), hint="if known"),
            FieldSpec("cause", "cause", str, "unknown", choices=("unknown", "ordinary", "exceptional")),
            FieldSpec("note", "note", text("note")),
        )

    def command(self, values: Mapping[str, Any]) -> object:
        move = Move("died", values["count"], cause=values["cause"])
        return Record(self.subject, (move,), values["on"], note=values["note"])


class Shelf(Place):
    NAME = "shelf"
    WHERE = "shelf"
    TITLE_WORDS = "Shelf"
    HELP = "What stands on the shelf."
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("deaths", "d", "deaths", "Record deaths in a lot."),
        Act("look_at", "enter", "open", "Look at one lot."),
    )
    rows = 450
    looked: ClassVar[list[str]] = []

    def body(self) -> Iterable[Widget]:
        wide = Column("wide", 20, above=100)
        yield PagedList((Column("lot", 8), Column("note [of] it"), Column("alive", 8, right=True), wide), self.fetch)

    def fetch(self, after: str | None) -> Page:
        first = 0 if after is None else int(after) + 1
        last = min(first + 200, self.rows)
        made = [Row(str(n), (f"P{n}", "[red]x[/red] \x1b[2J", str(n), "beside")) for n in range(first, last)]
        return Page(made, last < self.rows)

    def first_focus(self) -> Widget | None:
        return self.query_one(PagedList)

    def opened(self) -> None:
        super().opened()
        self.read_anew()

    def read_anew(self) -> None:
        self.query_one(PagedList).read()

    async def action_deaths(self) -> None:
        await self.desk.open_form(DeathForm("P08"))

    def action_look_at(self) -> None:
        self.looked.append(self.query_one(PagedList).key_here or "")


class Bench(Shelf):
    NAME = "bench"
    WHERE = "bench"
    TITLE_WORDS = "Bench"


def desk(ledger: FakeLedger | None = None, **more: Any) -> Desk:
    """An application over a fake ledger with two small places."""
    return Desk(ledger or FakeLedger(), (Shelf, Bench), SomeWords, **more)  # type: ignore[arg-type]


__all__ = ["TODAY", "Bench", "DeathForm", "FakeLedger", "Refused", "Shelf", "desk"]

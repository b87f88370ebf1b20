"""What the tests of places and keys share: reading the tables of the loft, and pressing keys one after another."""

from __future__ import annotations

from typing import Any

from sqlalchemy import func, select
from textual.pilot import Pilot
from textual.widgets import Input

from ledger.ledger import Ledger
from tests.tui.keys import rest
from tests.tui.screenshot import picture


def rows(ledger: Ledger, *columns: Any, **where: Any) -> list[tuple[Any, ...]]:
    """Rows of one table, newest last."""
    table = columns[0].table
    wanted = select(*columns).where(*(table.c[name] == value for name, value in where.items())).order_by(table.c.id)
    with ledger.store.reading() as conn:
        return [tuple(row) for row in conn.execute(wanted)]


def count(ledger: Ledger, table: Any) -> int:
    """How many rows a table has."""
    with ledger.store.reading() as conn:
        return int(conn.execute(select(func.count()).select_from(table)).scalar_one())


async def go(pilot: Pilot[None], *keys: str) -> str:
    """Press keys, wait for what they bring, and give what is on the screen, spaces and line ends made one."""
    for key in keys:
        await pilot.press(key)
        await rest(pilot, 0.05)
    await rest(pilot)
    return " ".join(picture(pilot.app).split())


async def quick(pilot: Pilot[None], *keys: str) -> str:
    """The same for one who knows the keys: wait once, for what the last of them brings."""
    await pilot.press(*keys)
    await rest(pilot, 0.05)
    return " ".join(picture(pilot.app).split())


async def fill_in(pilot: Pilot[None], *texts: str) -> None:
    """Put texts into the field that has the keys and those after it, at once; letter by letter is for other tests."""
    for at, text in enumerate(texts):
        if at:
            await pilot.press("tab")
        field = pilot.app.focused
        assert isinstance(field, Input)
        field.value = text
    await pilot.pause()

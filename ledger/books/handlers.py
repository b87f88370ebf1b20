"""How the commands of the books are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.books.closing import commit_close, plan_close
from ledger.books.commands import CloseYear
from ledger.books.undoing import commit_undo, plan_undo
from ledger.stock.commands import Undo

HANDLERS: dict[type, Handler] = {
    CloseYear: Handler(plan_close, commit_close),
    Undo: Handler(plan_undo, commit_undo),
}

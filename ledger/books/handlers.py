"""How the commands of the books are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.books.bringing_back import commit_back, plan_back
from ledger.books.closing import commit_close, plan_close
from ledger.books.commands import CloseYear, CountStock, SetTaxHelp, TakeBackFile
from ledger.books.helps import commit_help, plan_help
from ledger.books.stock_count import commit_count, plan_count
from ledger.books.undoing import commit_undo, plan_undo
from ledger.stock.commands import Undo

HANDLERS: dict[type, Handler] = {
    CloseYear: Handler(plan_close, commit_close),
    CountStock: Handler(plan_count, commit_count),
    SetTaxHelp: Handler(plan_help, commit_help),
    TakeBackFile: Handler(plan_back, commit_back),
    Undo: Handler(plan_undo, commit_undo),
}

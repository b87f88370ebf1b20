"""How the commands of the books are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.books.closing import commit_close, plan_close
from ledger.books.commands import CloseYear

HANDLERS: dict[type, Handler] = {CloseYear: Handler(plan_close, commit_close)}

"""How the commands of rearing are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.rearing.commands import KeepOutlook
from ledger.rearing.kept import commit_keep, plan_keep

HANDLERS: dict[type, Handler] = {KeepOutlook: Handler(plan_keep, commit_keep)}
"""Commands of rearing."""

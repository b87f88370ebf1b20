"""How the commands about the ledger itself are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.records.commands import SetSetting
from ledger.records.settings import commit_setting, plan_setting

HANDLERS: dict[type, Handler] = {SetSetting: Handler(plan_setting, commit_setting)}

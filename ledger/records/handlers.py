"""How the commands about the ledger itself are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.records.bringing import commit_note, plan_note
from ledger.records.commands import NoteBroughtIn, SetSetting
from ledger.records.settings import commit_setting, plan_setting

HANDLERS: dict[type, Handler] = {
    SetSetting: Handler(plan_setting, commit_setting),
    NoteBroughtIn: Handler(plan_note, commit_note),
}

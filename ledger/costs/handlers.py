"""How the commands about money spent are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.costs import commands as c
from ledger.costs import spending as s

HANDLERS: dict[type, Handler] = {
    c.Spend: Handler(s.plan_spend, s.commit_spend),
    c.PayCost: Handler(s.plan_pay, s.commit_change),
    c.RefundCost: Handler(s.plan_refund, s.commit_change),
    c.EndWindow: Handler(s.plan_end_window, s.commit_change),
    c.Dispose: Handler(s.plan_dispose, s.commit_change),
    c.ReverseCost: Handler(s.plan_reverse_cost, s.commit_reverse_cost),
    c.SetMethod: Handler(s.plan_method, s.commit_method),
}

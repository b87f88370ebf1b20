"""How the commands about money spent are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.costs import care, changing, correcting, hours, methods, power, spending, standard, taking_out
from ledger.costs import commands as c

HANDLERS: dict[type, Handler] = {
    c.Spend: Handler(spending.plan_spend, spending.commit_spend),
    c.Power: Handler(power.plan_power, power.commit_power),
    c.TakeOut: Handler(taking_out.plan_take_out, taking_out.commit_take_out),
    c.PutBack: Handler(taking_out.plan_put_back, taking_out.commit_take_out),
    c.NoteHours: Handler(hours.plan_hours, hours.commit_hours),
    c.DropHours: Handler(hours.plan_drop, hours.commit_hours),
    c.PayCost: Handler(changing.plan_pay, changing.commit_change),
    c.RefundCost: Handler(changing.plan_refund, changing.commit_change),
    c.EndWindow: Handler(changing.plan_end_window, changing.commit_change),
    c.Dispose: Handler(changing.plan_dispose, changing.commit_change),
    c.ReverseCost: Handler(changing.plan_reverse_cost, changing.commit_reverse_cost),
    c.CorrectCost: Handler(correcting.plan_correct, correcting.commit_correct),
    c.SetMethod: Handler(methods.plan_method, methods.commit_method),
    c.SetCare: Handler(care.plan_care, care.commit_care),
    c.SetStandardCost: Handler(standard.plan_standard, standard.commit_standard),
}

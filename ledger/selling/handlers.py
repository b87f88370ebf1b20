"""How the commands of selling are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.origin.commands import WriteCorrectionNote
from ledger.selling import affected, credits, customers, payments, posting, pricing, promising, selling, swapping
from ledger.selling import commands as c

HANDLERS: dict[type, Handler] = {
    c.AddCustomer: Handler(customers.plan_customer, customers.commit_customer),
    c.SetPrice: Handler(pricing.plan_price, pricing.commit_price),
    c.PlaceHold: Handler(promising.plan_hold, promising.commit_hold),
    c.ReleaseHold: Handler(promising.plan_release, promising.commit_release),
    c.DecideDeposit: Handler(promising.plan_deposit, promising.commit_deposit),
    c.Sell: Handler(selling.plan_sell, selling.commit_sell),
    c.PostSale: Handler(posting.plan_post, posting.commit_post),
    c.ReplaceShort: Handler(posting.plan_replace, posting.commit_replace),
    c.TakePayment: Handler(payments.plan_payment, payments.commit_payment),
    c.CreditSale: Handler(credits.plan_credit, credits.commit_credit),
    c.Swap: Handler(swapping.plan_swap, swapping.commit_swap),
    WriteCorrectionNote: Handler(affected.plan_note, affected.commit_note),
}
"""A correction note is a command about origin; it is written here because sale lines belong to selling."""

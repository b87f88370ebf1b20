"""How the commands of selling are planned and written."""

from __future__ import annotations

from ledger.act import Handler
from ledger.origin.commands import WriteCorrectionNote
from ledger.selling import (
    affected,
    changing,
    credits,
    customers,
    deciding,
    doa,
    erasing,
    fair_packs,
    fairs,
    flags,
    giving,
    lending,
    parcels,
    payments,
    posting,
    pricing,
    promising,
    queue,
    selling,
    swapping,
)
from ledger.selling import commands as c

HANDLERS: dict[type, Handler] = {
    c.AddCustomer: Handler(customers.plan_customer, customers.commit_customer),
    c.ChangeCustomer: Handler(changing.plan_change, changing.commit_change),
    c.EraseCustomer: Handler(erasing.plan_erase, erasing.commit_erase),
    c.SetPrice: Handler(pricing.plan_price, pricing.commit_price),
    c.PlaceHold: Handler(promising.plan_hold, promising.commit_hold),
    c.ReleaseHold: Handler(promising.plan_release, promising.commit_release),
    c.JoinQueue: Handler(queue.plan_join, queue.commit_join),
    c.LeaveQueue: Handler(queue.plan_leave, queue.commit_leave),
    c.OfferNext: Handler(queue.plan_offer, queue.commit_offer),
    c.DecideDeposit: Handler(promising.plan_deposit, promising.commit_deposit),
    c.Sell: Handler(selling.plan_sell, selling.commit_sell),
    c.PostSale: Handler(posting.plan_post, posting.commit_post),
    c.ReplaceShort: Handler(posting.plan_replace, posting.commit_replace),
    c.TakePayment: Handler(payments.plan_payment, payments.commit_payment),
    c.CreditSale: Handler(credits.plan_credit, credits.commit_credit),
    c.Swap: Handler(swapping.plan_swap, swapping.commit_swap),
    c.HoldParcel: Handler(parcels.plan_wait, parcels.commit_wait),
    c.LetParcelGo: Handler(parcels.plan_go, parcels.commit_wait),
    c.NoteArrival: Handler(parcels.plan_arrival, parcels.commit_arrival),
    c.RecordClaim: Handler(doa.plan_claim, doa.commit_claim),
    c.DecideClaim: Handler(deciding.plan_decision, deciding.commit_decision),
    c.FlagSpecies: Handler(flags.plan_flag, flags.commit_flag),
    c.EndFlag: Handler(flags.plan_end, flags.commit_end),
    c.GiveAway: Handler(giving.plan_give, giving.commit_give),
    c.LendOut: Handler(lending.plan_lend, lending.commit_lend),
    c.LoanBack: Handler(lending.plan_back, lending.commit_back),
    c.PlanFair: Handler(fairs.plan_fair, fairs.commit_fair),
    c.PackForFair: Handler(fair_packs.plan_pack, fair_packs.commit_pack),
    c.Unpack: Handler(fair_packs.plan_unpack, fair_packs.commit_unpack),
    c.SellFairPack: Handler(fair_packs.plan_sell_pack, fair_packs.commit_sell_pack),
    c.SpendOnFair: Handler(fairs.plan_cost, fairs.commit_cost),
    c.DriveToFair: Handler(fairs.plan_drive, fairs.commit_cost),
    c.EndFair: Handler(fairs.plan_end, fairs.commit_end),
    c.TellOfSale: Handler(affected.plan_notes, affected.commit_notes),
    WriteCorrectionNote: Handler(affected.plan_note, affected.commit_note),
}
"""A correction note is a command about origin; it is written here because sale lines belong to selling."""

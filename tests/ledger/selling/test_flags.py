from __future__ import annotations

import datetime as dt

from sqlalchemy import Engine, event

from ledger.errors import BadInput, NotFound, Refused
from ledger.ledger import Ledger
from ledger.money import Currency
from ledger.records.store import Store
from ledger.selling.commands import EndFlag, FlagSpecies, GiveAway, LineOf, Pick, Sell
from ledger.selling.flags import flag_rows
from ledger.selling.receipt import receipt, receipt_text
from ledger.stock.commands import AddLot, Arrival
from tests.ledger.selling.shop import Shop, beetle, day

FROM = day("2025-01-01")
EUR = Currency("EUR", 2)
LARVA = (LineOf("P08", 1, 100),)


def sell(shop: Shop, channel: str = "collection", on: dt.date | None = None) -> tuple[tuple[str, ...], str]:
    """Cautions before a sale, and what is noted on it for the keeper; no paper says it to the buyer."""
    command = Sell(LARVA, on or shop.today, "Tarn", channel, to_post=channel == "post")
    before = shop.preview(command).cautions
    done = shop.do(command)
    assert done.cautions == before
    number = str(done.refs["number"])
    sale = shop.sale(number)
    assert sale.note == ""
    printed = receipt_text(shop.ask(receipt, number, EUR))
    assert not sale.own_note or sale.own_note not in printed
    return before, sale.own_note


def test_nothing_is_warned_of_where_nothing_was_entered(shop: Shop) -> None:
    assert sell(shop) == (("1.00 EUR is still owed by Tarn.",), "")


def test_a_protected_species_without_a_document_warns_before_the_sale_and_is_noted_on_it(both: Shop) -> None:
    both.do(FlagSpecies("BEET", "protected", FROM, "listed at home"))

    cautions, note = sell(both)

    assert cautions[0] == (
        "BEET is entered as protected: listed at home; check your local rules first; this program does not decide "
        "what is legal."
    )
    assert note == "BEET is entered as protected and no permit or document is entered for it."


def test_an_expired_permit_warns_and_is_noted_and_a_newer_one_settles_it(both: Shop) -> None:
    both.do(FlagSpecies("BEET", "protected", FROM))
    both.do(FlagSpecies("BEET", "permit", FROM, number="12/345", expires_on=day("2025-05-31")))

    cautions, note = sell(both)
    assert note == "BEET: permit 12/345 expired on 31 May 2025."
    assert any(caution.startswith("BEET: permit 12/345 expired on 31 May 2025; check") for caution in cautions)
    _, at_the_time = sell(both, on=day("2025-05-31"))
    assert at_the_time == ""

    both.do(FlagSpecies("BEET", "permit", FROM, number="12/999", expires_on=day("2025-12-31")))
    _, later = sell(both)
    assert later == ""


def test_a_limit_of_the_post_is_told_when_animals_are_posted_only(shop: Shop) -> None:
    shop.do(FlagSpecies("BEET", "post limit", FROM, "not by letter post"))

    assert any("not by letter post" in caution for caution in sell(shop, "post")[0])
    assert not any("not by letter post" in caution for caution in sell(shop)[0])


def test_a_gift_is_warned_of_like_a_sale(shop: Shop) -> None:
    shop.do(FlagSpecies("BEET", "invasive", FROM))

    plan = shop.preview(GiveAway((Pick("P08", 1),), shop.today, "gift"))

    assert any("is entered as invasive" in caution for caution in plan.cautions)


def test_a_reminder_counts_from_its_day_until_it_is_ended(both: Shop) -> None:
    both.do(FlagSpecies("BEET", "invasive", day("2025-06-01")))
    assert sell(both, on=day("2025-05-31"))[1] == ""
    number = both.ask(flag_rows)[0].id
    both.do(EndFlag(number, both.today))

    assert sell(both)[1] == ""
    both.refused(EndFlag(number, both.today), Refused)
    both.refused(EndFlag(99, both.today), NotFound)


def test_the_wording_never_says_what_is_legal(shop: Shop) -> None:
    for kind, more in (("protected", {}), ("invasive", {}), ("permit", {"number": "1", "expires_on": FROM})):
        shop.do(FlagSpecies("BEET", kind, FROM, **more))  # type: ignore[arg-type]

    words = " ".join((*sell(shop)[0], sell(shop)[1])).casefold()

    assert "does not decide what is legal" in words
    said = words.replace("does not decide what is legal", "")
    assert not any(word in said for word in ("legal", "is allowed", "may be sold", "is permitted", "illegal"))


def test_a_reminder_needs_its_parts(shop: Shop) -> None:
    shop.refused(FlagSpecies("NONE", "protected", FROM), NotFound)
    shop.refused(FlagSpecies("BEET", "pretty", FROM), BadInput)
    shop.refused(FlagSpecies("BEET", "permit", FROM), BadInput)
    shop.refused(FlagSpecies("BEET", "post limit", FROM), BadInput)
    shop.refused(FlagSpecies("BEET", "protected", FROM, number="1"), BadInput)
    shop.refused(FlagSpecies("BEET", "permit", FROM, number="1", expires_on=day("2024-12-31")), BadInput)


def test_a_plain_sale_asks_for_reminders_once_and_not_again(sqlite_store: Store) -> None:
    """In one file what was read is kept until something other than trade is recorded; a server keeps nothing."""
    ledger = Ledger(sqlite_store, clock=lambda: dt.datetime(2025, 6, 2, 10), by="wren")
    for command in (beetle(), AddLot("P08", "BEET", day("2025-03-01"), (Arrival("hatched", "L3", unsexed=14),))):
        ledger.do(command)
    asked: list[str] = []

    def note(_conn: object, _cursor: object, statement: str, *_more: object) -> None:
        asked.append(statement)

    event.listen(Engine, "before_cursor_execute", note)
    try:
        counts = []
        for _ in range(3):
            asked.clear()
            ledger.do(Sell(LARVA, ledger.today))
            counts.append((len(asked), sum("species_flag" in statement for statement in asked)))
    finally:
        event.remove(Engine, "before_cursor_execute", note)

    assert counts[0][1] == 1
    assert counts[1] == counts[2]
    assert counts[1][1] == 0

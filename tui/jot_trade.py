"""Jot lines about buyers: what is promised, what was sold.

Reads words only. Amounts are strict: what may mean two things is refused; what nobody said stays unsaid.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from dataclasses import replace

from ledger.errors import BadInput
from ledger.selling.commands import Charge, LineOf, Paid, Pick, PlaceHold, Sell
from ledger.selling.deadlines import HOURS
from ledger.text import quoted
from ledger.wording import say, strung, word
from tui.how_many import by_sex, is_number, number_of
from tui.jot_amounts import has_digit, take_amount
from tui.jot_days import left_over
from tui.jot_told import ANIMALS, SALE, read_told
from tui.jot_words import Setting, Words, as_line, find_lot, find_name, find_stage, take_sex, take_tub
from tui.typed_words import typed_day
from tui.ways import CHANNELS

_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")
_HOLD_PARTS = ("for", "until", "deposit")
_WHY_FREE = say("Why free of charge? Write: free sample, or free replacement.")
_SALE_PARTS = ("to", "at", "paid", "unpaid", "postage", "by", "free", "and", ",")
_FOR = re.compile(r"(.*\S)\s+for\s+(\S*\d\S*(?:\s+each)?)", re.IGNORECASE)
"""A name with a price behind it."""


def _animals(words: Words, setting: Setting) -> list[Pick]:
    """'E03 5 adult female': one pick, or one for each sex of 1.2."""
    found = find_lot(words, setting.vocabulary)
    if found is None:
        raise BadInput(
            say("{peek} is not a lot; write the lot and how many, such as: E03 5.", peek=quoted(words.peek()))
            if words
            else say("Of which lot? Write the lot and how many, such as: E03 5."),
            field="lot",
        )
    lot, in_tub = found
    tub: str | None = in_tub or None
    count: int | None = None
    sexes: tuple[tuple[str, int], ...] = ()
    sex: str | None = None
    stage: str | None = None
    while words:
        word = words.peek()
        if count is None and not sexes and is_number(word):
            count = number_of(words.take())
        elif count is None and not sexes and (counts := by_sex(word)) is not None:
            words.take()
            sexes = counts
        elif sex is None and (next_sex := take_sex(words)) is not None:
            sex = next_sex
        elif tub is None and (next_tub := take_tub(words, lot, setting.vocabulary)) is not None:
            tub = next_tub
        elif stage is None and (next_stage := find_stage(words, lot, setting.vocabulary)) is not None:
            stage = next_stage
        else:
            break
    if sexes:
        return [Pick(lot, number, stage, name, tub) for name, number in sexes]
    if count is None and tub and setting.vocabulary.tubs.get(lot, {}).get(tub) == 1:
        count = 1
    if not count:
        raise BadInput(say("How many of {lot}? Write: {lot} 5.", lot=lot), field="count")
    return [Pick(lot, count, stage, sex, tub)]


def read_picks(text: str, setting: Setting) -> list[Pick]:
    """`P11 2.2 adult and E03 5`: animals alone, without a price."""
    return read_told(lambda typed: _picks(typed, setting), text, setting, ANIMALS)


def _picks(text: str, setting: Setting) -> list[Pick]:
    words = Words(text)
    picks = _animals(words, setting)
    while words.take_phrase((",", "and")) is not None:
        picks.extend(_animals(words, setting))
    if words:
        lot = picks[-1].lot
        raise BadInput(
            say(
                "{rest} was not understood; write lots and how many: P11 2.2 adult and E03 5. Stages of {lot}: "
                "{stages}.",
                rest=quoted(words.rest()),
                lot=lot,
                stages=strung((word(name) for name, _ in setting.vocabulary.stages[lot]), ", "),
            )
        )
    return picks


def read_hold(words: Words, note: str, setting: Setting) -> PlaceHold:
    """`hold E03 5 for Tarn until fri`, `... until 15 jun 18:00 deposit 27.50 card`."""
    words.take()
    picks = _animals(words, setting)
    while words.take_phrase((",", "and")) is not None:
        picks.extend(_animals(words, setting))
    customer, until = "", ""
    deposit, method = 0, "cash"
    while (part := words.take_phrase(_HOLD_PARTS)) is not None:
        start = words.at
        if part == "for":
            typed = words.before(_HOLD_PARTS)
            customer = find_name(typed, setting.vocabulary.customers, "buyer", words, start, words.at)
        elif part == "until":
            until = read_until(words.before(_HOLD_PARTS), setting)
        else:
            deposit = take_amount(words, setting, "deposit")
            method = words.before(_HOLD_PARTS).casefold() or "cash"
    if words:
        rest = quoted(as_line(words.words[words.at :]))
        raise left_over(words, say("{rest} was not understood; write: hold E03 5 for Tarn until fri.", rest=rest))
    if not customer:
        raise BadInput(say("For whom? Add: for and the buyer's name."), field="customer")
    if not until:
        raise BadInput(say("Until when? Add: until fri, or until 15 jun 18:00."), field="until")
    return PlaceHold(customer, tuple(picks), setting.today, until, deposit, method, note)


def read_until(typed: str, setting: Setting) -> str:
    """A deadline as the records keep it: 2025-06-15 or 2025-06-15T18:00."""
    if HOURS.fullmatch(typed.strip()):
        return typed.strip()
    day, _, last = typed.rpartition(" ")
    clock = _CLOCK.fullmatch(last)
    if clock is None:
        return typed_day(typed, setting.today, setting.order, ahead=True, field="until").isoformat()
    hour, minute = int(clock[1]), int(clock[2])
    if hour > 23 or minute > 59:
        raise BadInput(say("{last} is not a time of day; write it like 18:00.", last=quoted(last)), field="until")
    on = typed_day(day or "today", setting.today, setting.order, ahead=True, field="until")
    return f"{on.isoformat()}T{hour:02}:{minute:02}"


def read_taking_up(text: str, setting: Setting) -> Sell:
    """`to Tarn by post paid`: what is said of the sale of all that a hold promised, without its animals."""
    return read_sale(Words(f"sell {text}"), setting.today, "", setting, of_hold=True)


def is_of_sale(text: str) -> bool:
    """Whether a text begins with what is said of a sale and names no animals."""
    return not text.strip() or Words(text).take_phrase(_SALE_PARTS) is not None


def read_sale(words: Words, on: dt.date, note: str, setting: Setting, *, of_hold: bool = False) -> Sell:
    """`sell E03 5 at 18.00 to Tarn paid`, `sell P08 10 L3 and E03 2 to Tarn by post postage 8.50`.

    Args:
        of_hold: its animals are those a hold promised; `words` names none.
    """
    words.take()
    lines = [] if of_hold else _sale_line(words, setting)
    customer, channel = "", "collection"
    charges: list[Charge] = []
    paid: Paid | None = None
    settled = ""
    owed = False
    while (part := words.take_phrase(_SALE_PARTS)) is not None:
        start = words.at
        if part in ("and", ","):
            lines.extend(_sale_line(words, setting))
        elif part == "to":
            typed = words.before(_SALE_PARTS)
            stop = words.at
            if (priced := _FOR.fullmatch(typed)) is not None:
                typed, behind = priced[1], words.part(stop - len(priced[2].split()), stop)
                stop = behind.at - 1
                lines = _with_price(lines, behind, setting)
            customer = find_name(typed, setting.vocabulary.customers, "buyer", words, start, stop)
        elif part == "at":
            lines = _with_price(lines, words, setting)
        elif part == "by":
            channel = words.take().casefold()
            if channel not in CHANNELS:
                raise BadInput(
                    say(
                        "Sold by {channel}? Write by {channels}.",
                        channel=quoted(channel),
                        channels=strung(CHANNELS[:-1], ", "),
                    ),
                    field="channel",
                )
        elif part == "postage":
            charges.append(Charge("postage", take_amount(words, setting, "postage")))
        elif part == "paid":
            paid, settled = _payment(words, setting)
        elif part == "unpaid":
            owed = True
        else:
            raise BadInput(say("Write “{part}” straight after the animals it is about.", part=part), field=part)
    if words:
        rest = quoted(as_line(words.words[words.at :]))
        raise left_over(words, say("{rest} was not understood; write: sell E03 5 at 18.00 to Tarn paid.", rest=rest))
    if owed and (paid is not None or settled):
        raise BadInput(say("Paid or unpaid? Write one of them."), field="paid")
    method = settled or (paid.method if paid is not None else "")
    if method in CHANNELS:
        raise BadInput(
            say(
                "Paid by {method}? Write how it was paid, such as paid cash, and by {method} before it.", method=method
            ),
            field="method",
        )
    if settled:
        paid = Paid(None, settled)
    return Sell(
        tuple(lines),
        on,
        customer,
        channel,
        tuple(charges),
        (paid,) if paid is not None else (),
        to_post=channel == "post",
        note=note,
    )


def read_sale_lines(text: str, setting: Setting) -> list[LineOf]:
    """`E03 2 adults at 6.00 and P08 10 L3`: the lines of a sale alone."""
    return read_told(lambda typed: _sale_lines(typed, setting), text, setting, SALE)


def _sale_lines(text: str, setting: Setting) -> list[LineOf]:
    words = Words(text)
    lines = _sale_line(words, setting)
    while words.take_phrase(("and", ",")) is not None:
        lines.extend(_sale_line(words, setting))
    if words:
        raise BadInput(
            say("{rest} was not understood; write: E03 2 adults at 6.00.", rest=quoted(words.rest())), field="more"
        )
    return lines


def _sale_line(words: Words, setting: Setting) -> list[LineOf]:
    """Animals with their price, if said: 'E03 5 at 18.00', 'E03 5 at 3.60 each', 'E03 5 free sample'."""
    picks = _animals(words, setting)
    price: int | None = None
    reason = ""
    if words.take_phrase(("at",)) is not None or (_is_price(words) and words.take_phrase(("for",)) is not None):
        price = take_amount(words, setting, say("do they cost"))
        if words.take_phrase(("each",)) is not None:
            prices = [price * pick.count for pick in picks]
        elif len(picks) > 1:
            raise BadInput(
                say("Males and females are two lines of a sale; write the price of each line."), field="price"
            )
        else:
            prices = [price]
        if not price:
            raise BadInput(_WHY_FREE, field="price_zero_reason")
        return [
            LineOf(pick.lot, pick.count, cost, pick.stage, pick.sex, pick.tub)
            for pick, cost in zip(picks, prices, strict=True)
        ]
    if words.take_phrase(("free",)) is not None:
        reason = words.before(_SALE_PARTS)
        if not reason:
            raise BadInput(_WHY_FREE, field="price_zero_reason")
        price = 0
    males, females = (sum(pick.count for pick in picks if pick.sex == sex) for sex in ("male", "female"))
    packs = math.gcd(males, females)
    together = len(picks) == 2 and males > 0 and females > 0
    pack = f"{males // packs}.{females // packs}" if together else ""
    return [
        LineOf(
            pick.lot,
            pick.count,
            price,
            pick.stage,
            pick.sex,
            pick.tub,
            pack=pack,
            price_zero_reason=reason,
        )
        for pick in picks
    ]


def _is_price(words: Words) -> bool:
    """Whether 'for 3.50' comes next, and not 'for Tarn'."""
    following = words.words[words.at : words.at + 2]
    return len(following) == 2 and following[0].casefold() == "for" and has_digit(following[1])


def _with_price(lines: list[LineOf], words: Words, setting: Setting) -> list[LineOf]:
    """A sale of one line with the price that was said behind its buyer.

    Raises:
        BadInput: there are several lines, or its price was said before.
    """
    if len(lines) != 1 or lines[0].price is not None:
        raise BadInput(say("Write the price straight after the animals it is about."), field="price")
    price = take_amount(words, setting, say("do they cost"))
    each = words.take_phrase(("each",)) is not None
    if not price:
        raise BadInput(_WHY_FREE, field="price_zero_reason")
    return [replace(lines[0], price=price * lines[0].count if each else price)]


def _payment(words: Words, setting: Setting) -> tuple[Paid | None, str]:
    """A payment of an amount ('paid 10.00 transfer'), or the method by which all is paid ('paid', 'paid card')."""
    if not has_digit(words.peek()):
        return None, words.before(_SALE_PARTS).casefold() or "cash"
    amount = take_amount(words, setting, say("was paid"))
    return Paid(amount, words.before(_SALE_PARTS).casefold() or "cash"), ""

"""Jot lines about money and buyers: what was spent, what is promised, what was sold.

Reads words only. Amounts are strict: what may mean two things is refused; what nobody said stays unsaid.
"""

from __future__ import annotations

import datetime as dt
import math
import re

from ledger.costs.commands import Spend, TakeOut
from ledger.costs.store import thousandths
from ledger.costs.windows import GUESS_DAYS
from ledger.days import parse_day
from ledger.errors import BadInput
from ledger.money import Currency, parse_amount
from ledger.selling.commands import Charge, LineOf, Paid, Pick, PlaceHold, Sell, SpendFromBox
from ledger.selling.deadlines import HOURS
from ledger.text import quoted
from ledger.wording import say, strung, word
from tui.jot_words import Setting, Words, find_lot, find_name, find_stage, take_sex, take_tub

METHODS = ("cash", "card", "transfer")
CHANNELS = ("post", "fair", "collection", "trade", "other")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")
STORE = ("unopened", "into store", "in store", "to store")
OPENED = ("opened", "taken out")
A_BAG = "bag"
FROM_BOX = ("from the box", "from box", "from the fair", "out of the box", "paid from the box")
"""What says that the cash of a fair paid; never part of a supplier's name."""
_SPENDING_PARTS = ("for", "tax", "lasts", "unpaid", *STORE, *FROM_BOX)
_HOLD_PARTS = ("for", "until", "deposit")
_WHY_FREE = say("Why free of charge? Write: free sample, or free replacement.")
_SALE_PARTS = ("to", "at", "paid", "postage", "by", "free", "and", ",")
_LASTING = {"day": 1, "week": 7, "month": 30, "year": 365}


def _has_digit(word: str) -> bool:
    return any(letter.isdigit() for letter in word)


def is_currency(word: str, own: Currency) -> bool:
    """Whether a word after an amount is the code of a currency: the ledger's own however it is typed, another one in
    capitals, so that a supplier called Top or All is none."""
    if word.upper() == own.code:
        return True
    if len(word) != 3 or not (word.isascii() and word.isupper()):
        return False
    try:
        Currency.of(word)
    except BadInput:
        return False
    return True


def _amount(words: Words, setting: Setting, what: str) -> int:
    """Step over an amount, its currency sign or code before or after it included."""
    word = words.take()
    if not word or word == ",":
        raise BadInput(say("How much {what}? Write an amount, such as 24.00.", what=what), field="amount")
    mark_before = not _has_digit(word) and _has_digit(words.peek())
    mark_after = words.peek() in ("€", "£", "$", "¥") or is_currency(words.peek(), setting.currency)
    if mark_before or mark_after:
        word = f"{word} {words.take()}"
    value = parse_amount(word, setting.currency)
    if value < 0:
        raise BadInput(
            say("{word} is less than nothing; write the amount without a minus.", word=quoted(word)), field="amount"
        )
    return value


def read_spending(
    words: Words, category: str, on: dt.date, note: str, setting: Setting
) -> Spend | SpendFromBox | TakeOut:
    """`feed 24.00 Ombrel`, `equipment 145 Nib lasts 5 years`, `substrate 18 for P08 P09 unpaid`, `substrate 18 Ombrel
    unopened` and later `substrate opened`; `from the box` where the cash of a fair paid."""
    if words.take_phrase(OPENED) is not None:
        return _opened(words, category, on, note, setting)
    if words.peek().startswith(("-", "\N{MINUS SIGN}")):
        raise BadInput(say("Money that came back is a refund: $ on the cost, in 5 Costs."), field="amount")
    gross = _amount(words, setting, say("was spent on {category}", category=category))
    start = words.at
    typed, how = _by_method(words.before(_SPENDING_PARTS))
    note = f"{how}. {note}" if how and note else how or note
    supplier = (
        find_name(typed, setting.vocabulary.suppliers, "supplier", words, start, words.at - bool(how)) if typed else ""
    )
    kind = setting.vocabulary.categories[category]
    tax, life_days, unpaid, from_box = 0, None, False, False
    stored: tuple[str, str] | None = None
    species: list[str] = []
    lots: list[str] = []
    while (part := words.take_phrase(_SPENDING_PARTS)) is not None:
        if part == "tax":
            tax = _amount(words, setting, "tax")
        elif part == "unpaid":
            unpaid = True
        elif part in FROM_BOX:
            from_box = True
        elif part == "lasts":
            life_days = _life(words)
        elif part in STORE:
            stored = _quantity(words)
        else:
            _scope(words, species, lots, setting)
    if words:
        raise BadInput(say("{rest} was not understood; put remarks after the word note.", rest=quoted(words.rest())))
    if species and lots:
        raise BadInput(say("A cost is for species or for lots, not for both; write two lines."), field="scope")
    if kind == "lasting" and life_days is None:
        raise BadInput(
            say("How long will it last? Add, such as: {category} lasts 5 years.", category=category), field="life_days"
        )
    if stored is not None and kind != "used up":
        raise BadInput(say("Only what is used up is kept in store; leave that out for {category}.", category=category))
    if stored is not None and (species or lots):
        raise BadInput(say("Whom it is for is said when it is opened; leave it out."), field="scope")
    quantity, unit = stored or ("", "")
    scope = "none" if kind == "selling" else "lots" if lots else "species" if species else "all"
    spend = Spend(
        on,
        category,
        gross,
        supplier,
        tax=tax,
        kind=kind,
        scope=scope,
        species=tuple(species),
        lots=tuple(lots),
        life_days=life_days,
        stored=stored is not None,
        quantity=quantity,
        unit=unit,
        unpaid=unpaid,
        note=note,
    )
    return SpendFromBox(spend) if from_box else spend


def _quantity(words: Words) -> tuple[str, str]:
    """'10 kg', '2 bags' after what is kept unopened; a bag when nothing is said."""
    if not _has_digit(words.peek()):
        return "1", A_BAG
    number = words.take()
    unit = (
        words.take() if words and words.peek() not in (",", "for", "tax", "lasts", "unpaid", "from", "out") else A_BAG
    )
    return number, A_BAG if unit.casefold() == f"{A_BAG}s" else unit


def _opened(words: Words, category: str, on: dt.date, note: str, setting: Setting) -> TakeOut:
    """'substrate opened', 'feed opened 2 kg lasts 3 weeks for P08': out of the store, to be used up from that day."""
    number, _ = _quantity(words)
    days = GUESS_DAYS
    species: list[str] = []
    lots: list[str] = []
    while (part := words.take_phrase(("lasts", "for"))) is not None:
        if part == "lasts":
            days = _life(words)
        else:
            _scope(words, species, lots, setting)
    if words:
        raise BadInput(say("{rest} was not understood; put remarks after the word note.", rest=quoted(words.rest())))
    if len(species) + len(lots) > 1:
        raise BadInput(say("What is opened is for one species, one lot or all animals."), field="scope")
    return TakeOut(
        category,
        thousandths(number),
        on,
        used_to=on + dt.timedelta(days=days - 1),
        species=species[0] if species else None,
        lot=lots[0] if lots else None,
        note=note,
    )


def _by_method(typed: str) -> tuple[str, str]:
    """A supplier without how it was paid at its end: 'Kell cash' is Kell, and how it was paid goes into the note."""
    name, _, last = typed.rpartition(" ")
    if last.casefold() not in METHODS:
        return typed, ""
    return name.removesuffix(",").strip(), f"paid {last.casefold()}"


def _life(words: Words) -> int:
    number, unit = words.take(), words.take().casefold().removesuffix("s")
    if not (number.isascii() and number.isdigit() and unit in _LASTING):
        raise BadInput(say("How long does it last? Write: lasts 5 years, or lasts 18 months."), field="life_days")
    return int(number) * _LASTING[unit]


def _scope(words: Words, species: list[str], lots: list[str], setting: Setting) -> None:
    """Species codes or lots after 'for'."""
    known = {code.casefold(): code for code in setting.vocabulary.species}
    begun = words.at
    while words:
        words.take_phrase((",", "and"))
        if words.peek().casefold() in known:
            species.append(known[words.take().casefold()])
        elif (found := find_lot(words, setting.vocabulary)) is not None:
            lots.append(found[0])
        else:
            break
    if words.at == begun:
        raise BadInput(
            say("{peek} is not a species or a lot; write: for P08, or for PACH.", peek=quoted(words.peek())),
            field="scope",
        )


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
    by_sex: list[tuple[str, int]] = []
    sex: str | None = None
    stage: str | None = None
    while words:
        word = words.peek()
        sexes = re.fullmatch(r"(\d+)\.(\d+)(?:\.(\d+))?", word)
        if count is None and not by_sex and word.isascii() and word.isdigit():
            count = int(words.take())
        elif count is None and not by_sex and sexes:
            words.take()
            named = zip(("male", "female", "unsexed"), sexes.groups(), strict=True)
            by_sex = [(name, int(number)) for name, number in named if number and int(number)]
        elif sex is None and (next_sex := take_sex(words)) is not None:
            sex = next_sex
        elif tub is None and (next_tub := take_tub(words, lot, setting.vocabulary)) is not None:
            tub = next_tub
        elif stage is None and (next_stage := find_stage(words, lot, setting.vocabulary)) is not None:
            stage = next_stage
        else:
            break
    if by_sex:
        return [Pick(lot, number, stage, name, tub) for name, number in by_sex]
    if count is None and tub and setting.vocabulary.tubs.get(lot, {}).get(tub) == 1:
        count = 1
    if not count:
        raise BadInput(say("How many of {lot}? Write: {lot} 5.", lot=lot), field="count")
    return [Pick(lot, count, stage, sex, tub)]


def read_picks(text: str, setting: Setting) -> list[Pick]:
    """`P11 2.2 adult and E03 5`: animals alone, without a price."""
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
            deposit = _amount(words, setting, "deposit")
            method = words.before(_HOLD_PARTS).casefold() or "cash"
    if words:
        raise BadInput(
            say("{rest} was not understood; write: hold E03 5 for Tarn until fri.", rest=quoted(words.rest()))
        )
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
        return parse_day(typed, setting.today, setting.order, ahead=True, field="until").isoformat()
    hour, minute = int(clock[1]), int(clock[2])
    if hour > 23 or minute > 59:
        raise BadInput(say("{last} is not a time of day; write it like 18:00.", last=quoted(last)), field="until")
    on = parse_day(day or "today", setting.today, setting.order, ahead=True, field="until")
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
    while (part := words.take_phrase(_SALE_PARTS)) is not None:
        start = words.at
        if part in ("and", ","):
            lines.extend(_sale_line(words, setting))
        elif part == "to":
            typed = words.before(_SALE_PARTS)
            customer = find_name(typed, setting.vocabulary.customers, "buyer", words, start, words.at)
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
            charges.append(Charge("postage", _amount(words, setting, "postage")))
        elif part == "paid":
            paid, settled = _payment(words, setting)
        else:
            raise BadInput(say("Write “{part}” straight after the animals it is about.", part=part), field=part)
    if words:
        raise BadInput(
            say("{rest} was not understood; write: sell E03 5 at 18.00 to Tarn paid.", rest=quoted(words.rest())),
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
    if words.take_phrase(("at",)) is not None:
        price = _amount(words, setting, say("do they cost"))
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


def _payment(words: Words, setting: Setting) -> tuple[Paid | None, str]:
    """A payment of an amount ('paid 10.00 transfer'), or the method by which all is paid ('paid', 'paid card')."""
    if not _has_digit(words.peek()):
        return None, words.before(_SALE_PARTS).casefold() or "cash"
    amount = _amount(words, setting, say("was paid"))
    return Paid(amount, words.before(_SALE_PARTS).casefold() or "cash"), ""

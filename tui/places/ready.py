"""What can I sell now, what soon, at what price, of what origin; selling and holding start from here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from ledger.money import Currency, amount_text
from ledger.money import said as in_money
from ledger.origin.pairs import open_pairs
from ledger.wording import capital, in_short, say, strung, word
from tui.actions import Act
from tui.forms.prices import PriceForm
from tui.forms.promising import HoldForm
from tui.forms.selling import SaleForm
from tui.places.listing import LIST_ACTS, Drawn, ReckonedListing
from tui.places.of_a_lot import PURPOSE
from tui.places.page import TextPage
from tui.short_origin import ORIGIN_WIDTH, short_origin
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.selling.ready import ReadyRow

WIDE = 110
IN_FULL = 125
"""Cells of a screen on which the longest origin fits into its row in whole words."""
PLENTY = 10
"""From so many on, a message says plenty."""


def short_sex(sex: str) -> str:
    """A sex as the list has room for it: seven letters with a sign behind."""
    short = {"male": say("male{in_short}", in_short=""), "female": say("female{in_short}", in_short="")}
    return short.get(sex, word(sex))


def message_lines(rows: Sequence[ReadyRow], currency: Currency) -> list[str]:
    """The list as text for a message to buyers: no lot codes, and few or plenty instead of exact numbers."""
    lines: list[str] = []
    species = ""
    alike: dict[tuple[object, ...], list[ReadyRow]] = {}
    for row in rows:
        if row.ready:
            # A buyer is not told lots: those of the same kind, price and origin are one line.
            kind = (row.common, row.stage, row.sex, row.sure, row.packs, row.origin)
            alike.setdefault(kind, []).append(row)
    for row, *others in alike.values():
        if row.common != species:
            lines += ([""] if lines else []) + [capital(word(row.common))]
            species = row.common
        number = row.ready + sum(other.ready for other in others)
        sure = [word(row.sure)] if row.sure == "probable" else []
        animal = [word(row.stage)] if row.sex == "unsexed" else [word(row.stage), *sure, word(row.sex)]
        price = say(", {packs_said}", packs_said=packs_said(row, currency)) if row.packs else ""
        lines.append(
            say(
                "  {animal}: {how_many}{price} ({origin})",
                animal=strung(animal),
                how_many=say("plenty") if number >= PLENTY else say("few"),
                price=price,
                origin=row.origin,
            )
        )
    return lines or [say("Nothing is ready to be sold today.")]


def packs_said(row: ReadyRow, currency: Currency) -> str:
    """The prices of a row: '4.50 EUR each, 10 for 32.00 EUR'."""
    said = [
        say("{amount} each", amount=in_money(pack.amount, currency))
        if pack.animals == 1
        else say("{animals} for {amount}", animals=pack.animals, amount=in_money(pack.amount, currency))
        for pack in reversed(row.packs)
    ]
    return strung(said, ", ")


def sex_of(row: ReadyRow) -> str:
    """The sex of a row as exactly as it is known: 'probable female', 'confirmed male', 'unsexed'."""
    return f"{row.sure} {row.sex}" if row.sure else row.sex


def smallest_pack(row: ReadyRow) -> int:
    """How many are likely to be sold: the smallest pack that has a price and can be filled, else one."""
    fits = [pack.animals for pack in row.packs if pack.animals <= row.ready]
    return min(fits, default=1)


def _aside(row: ReadyRow) -> int:
    """Promised in one way or another, as the column has it: held for a buyer, packed for a fair, sold and to post."""
    return row.held + row.packed + row.to_post


class ReadyPlace(ReckonedListing):
    """The ready list."""

    NAME = "ready"
    QUICK = True
    HEAVY = False
    WHERE = "ready"
    TITLE_WORDS = say("Ready")
    HELP = say(
        "Animals that can be sold: alive, at a stage you sell, hard, of a lot that is for sale, and not "
        "promised. Aside stand those held for a buyer, packed for a fair, or sold and waiting for the post. "
        "What a lot is for is said on its page (comma, then purpose). Hardening is a guess by the "
        "calendar: look first, and write 'P08 seen hard' when you have seen it."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("sell", "s,enter", say("sell"), say("Sell from the row the cursor is on.")),
        Act("hold", "h", say("hold"), say("Promise animals of this row to a buyer.")),
        Act("lot", "l", say("lot"), say("Open the lot of this row.")),
        Act(
            "pack",
            "ampersand",
            say("pack"),
            say("Sell a pack of animals from one lot or several at one price."),
            shown=False,
        ),
        Act(
            "message", "M", say("message"), say("The list as text for a message, without lot codes and exact numbers.")
        ),
        Act("prices", "P", say("prices"), say("The price list of today, and as it was and will be.")),
        Act(
            "set_price",
            "at",
            say("set price"),
            say("Set a price for animals like those of this row, from a day on."),
            shown=False,
        ),
        *LIST_ACTS,
    )
    BY_WORD = (PURPOSE,)
    COLUMNS = (
        Column(say("what"), 15, above=ROOMY, below=IN_FULL),
        Column(say("what"), 24, above=IN_FULL),
        Column(say("what"), 14, below=ROOMY),
        Column(say("sex"), 7),
        Column(say("ready"), 5, right=True),
        Column(say("aside"), 5, right=True, above=ROOMY),
        Column(say("soft"), 4, right=True, above=ROOMY),
        Column(say("hard on"), 11, above=WIDE),
        Column(say("each"), 6, right=True, above=ROOMY),
        Column(say("lot"), 6),
        Column(say("origin"), ORIGIN_WIDTH, above=ROOMY, below=IN_FULL),
        Column(say("origin"), above=IN_FULL),
    )
    EMPTY = (
        say("Nothing can be sold yet."),
        say("Open a lot in 3 Stock (n), or move animals on to a stage that you sell: space, then P08 12 L3 to cocoon"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: dict[str, ReadyRow] = {}

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.ready

    def rows_of(self, answer: object) -> Sequence[Row]:
        rows: tuple[ReadyRow, ...] = answer  # type: ignore[assignment]
        self._rows = {f"{row.lot}/{row.stage}/{row.sure} {row.sex}": row for row in rows}
        return Drawn(list(self._rows.items()), self._row)

    def _row(self, one: tuple[str, ReadyRow]) -> Row:
        currency = self.desk.ledger.currency
        key, row = one
        sex = "" if row.sex == "unsexed" else strung((short_sex(row.sex), "?" if row.sure == "probable" else ""), "")
        price = (
            amount_text(row.price_each, currency)
            if row.price_each is not None
            else in_short("packs")
            if row.packs or row.pairs
            else ""
        )
        ready = (say("✓ {ready}", ready=row.ready), "bold $success") if row.ready else ("–", "$quiet")
        soft = (str(row.hardening), "$quiet") if row.hardening else ""
        hard_on = self.day(row.hardens_on) if row.hardens_on else ""
        aside = str(_aside(row)) if _aside(row) else ""
        what = strung((row.species, in_short(row.stage)))
        whence = (short_origin(row.origin), row.origin)
        return Row(
            key,
            (what, what, what, sex, ready, aside, soft, hard_on, price, row.lot, *whence),
            word(row.sex) if sex else "",
        )

    def detail(self, key: str) -> str:
        row = self._rows[key]
        currency = self.desk.ledger.currency
        named = [
            say("{pack} for {amount}", pack=word(one.pack), amount=in_money(one.amount, currency)) for one in row.pairs
        ]
        listed = [*([packs_said(row, currency)] if row.packs else []), *named]
        prices = say(" {packs_said}.", packs_said=strung(listed, ", ")) if listed else say(" No price is set (@).")
        soft = strung(
            (
                say(" {count} due hard {day}: look first.", count=count, day=self.day(day))
                for day, count in row.pending[:3]
            ),
            "",
        )
        aside = [
            strung((str(n), why))
            for n, why in (
                (row.held, say("held for a buyer")),
                (row.kept - row.packed, say("kept back")),
                (row.packed, say("packed for a fair")),
                (row.to_post, say("sold and waiting for the post")),
            )
            if n
        ]
        kept = say(" {aside}.", aside=strung(aside, ", ")) if aside else ""
        return strung((self._paired(row), capital(row.origin), ".", prices, soft, kept), "")

    def _paired(self, row: ReadyRow) -> str:
        """Animals of the lot that are together with others now: nothing bars their sale, and a keeper wants to know."""
        if row.sex not in ("male", "female"):
            return ""
        pairs = self.desk.ledger.ask(open_pairs, row.lot)
        own = [pair.female if row.sex == "female" else pair.male for pair in pairs]
        who = [animal for animal in dict.fromkeys(own) if animal.partition("/")[0] == row.lot]
        return say("Paired now: {animals}. ", animals=strung(who, ", ")) if who else ""

    def sum_up(self) -> str:
        rows = self._rows.values()
        return say(
            "{ready} ready · {aside} aside · {soft} soft",
            ready=sum(row.ready for row in rows),
            aside=sum(_aside(row) for row in rows),
            soft=sum(row.hardening for row in rows),
        )

    def _here(self) -> ReadyRow | None:
        return self._rows.get(self.chosen or "")

    async def action_sell(self) -> None:
        """Sell from this row."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(SaleForm(row.lot, row.stage, sex_of(row), count=smallest_pack(row)))

    async def action_hold(self) -> None:
        """Hold from this row."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(HoldForm(row.lot, row.stage, sex_of(row)))

    async def action_pack(self) -> None:
        """Sell a pack that begins with animals of this row."""
        from tui.forms.packs import PackSaleForm

        row = self._here()
        if row is not None:
            count, sex = smallest_pack(row), (word(row.sex),) if row.sex != "unsexed" else ()
            name = f"group of {count}" if count > 1 else ""
            await self.desk.open_form(PackSaleForm(strung((row.lot, str(count), *sex, word(row.stage))), name))

    async def action_lot(self) -> None:
        """The lot's page."""
        row = self._here()
        if row is not None:
            await self.desk.open_lot(row.lot)

    async def action_purpose(self) -> None:
        """What its lot is for: breeders are not offered."""
        from tui.forms.lot_facts import FactForm

        row = self._here()
        if row is not None:
            await self.desk.open_form(FactForm(row.lot, "purpose"))

    async def action_message(self) -> None:
        """Text for buyers."""
        await self.desk.open_form(TextPage(say("Ready today, for a message"), self._message))

    def _message(self) -> list[str]:
        return message_lines(tuple(self._rows.values()), self.desk.ledger.currency)

    async def action_set_price(self) -> None:
        """A price from a day on."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(PriceForm(row.species, row.stage))

    async def action_prices(self) -> None:
        """The price list."""
        from tui.places.prices import PricesPage

        await self.desk.open_form(PricesPage())

"""Settings: the business and its papers, dates, the post, species, reminders, methods, backups; one row for each group,
as it stands now. Enter opens the group."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from ledger.days import long_day
from ledger.records.numbers import last_numbers
from ledger.records.periods import period_by_year, year_of
from ledger.records.settings import settings
from ledger.selling.holds import SERIES as HOLDS
from ledger.selling.holds import numbered
from ledger.selling.writing import CREDITS, SALES
from ledger.text import count_words
from tui.actions import Act
from tui.forms.settings import SettingForm
from tui.frame import Framed, Place
from tui.places.listing import LIST_ACTS, ListPage, WholeList
from tui.places.page import BACK, TextPage
from tui.verbs.typed import order_of
from tui.widgets.paged import Column, Row

PAPERS = (
    "business name",
    "address",
    "contact",
    "registration",
    "payment details",
    "terms",
    "logo",
    "document language",
    "label sheet",
)
POST = ("post days", "post temperature")
FAIRS = ("kilometre rate",)
DATES = ("locale",)
SERIES = {SALES: ("sale", "sales"), CREDITS: ("credit", "credits")}
MORE = {
    "papers": "Name, address, terms, logo and what else stands on your papers; their language; your sheet of labels.",
    "dates": "Language and country decide how days are written and how 14/3 is read.",
    "numbers": "The last number of each series.",
    "post": "Weekdays and temperatures within which you post: your own limits, compared with when you post.",
    "fairs": "What a kilometre driven to a fair is reckoned at: your own rate; ask your adviser what your rules allow.",
    "species": "Each species with its stages: what is sold, days, survival, loss rates, care weights.",
    "reminders": "Protected, invasive, permits and when they end, limits of the post: as you entered them, no finding.",
    "prices": "The price list of a day, and how it changed.",
    "helps": "Thresholds you set, beside what the books come to, and for how long you keep records.",
    "method": "By what each category of cost is shared, business parts, care weights, hour rate; each from a day on.",
    "backups": "Which there are, how old the newest is and where they lie; make one now, also on another disk.",
    "ledger": "Where it lies, its accounting year, and what is done by commands alone.",
}
"""What is behind each group."""
OPEN = Act("open", "enter", "open", "Open the group of this row.")


class SettingsPlace(WholeList[None], Place):
    """The groups."""

    NAME = "settings"
    WHERE = "settings"
    TITLE_WORDS = "Settings"
    HELP = (
        "How your papers look, how days are written, what you keep and how costs are shared. Plain settings change in "
        "place; figures that change what the books say count from a day on, and a closed year keeps its own."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (OPEN, *LIST_ACTS)
    COLUMNS = (Column("what", 28), Column("as it stands"))

    def all_rows(self) -> list[Row]:
        ledger = self.desk.ledger
        kept = ledger.ask(settings)
        species = ledger.species()
        reminders = [row for row in ledger.flags() if row.counts_on(ledger.today)]
        over = sum(row.expired(ledger.today) for row in reminders)
        methods = ledger.methods()
        own = sum(not row.name.startswith("tax ") for row in methods)
        taxes = len({row.name for row in methods if row.name.startswith("tax ")})
        papers = [name for name in PAPERS if kept[name]]
        post = " · ".join(_one_line(kept[name]) for name in POST if kept[name])
        said: tuple[tuple[str, str, str], ...] = (
            (
                "papers",
                "Business and papers",
                f"{kept['business name'] or 'no name yet'} · {len(papers)} of {len(PAPERS)} set",
            ),
            ("dates", "How days are written", f"{self.day(ledger.today)} · {kept['locale'] or 'no locale set'}"),
            ("numbers", "Numbers of papers", "counted by themselves, without a gap"),
            ("post", "Post of living animals", post or "no limits of your own yet"),
            (
                "species",
                "Species and stages",
                f"{count_words(len(species), 'species', 'species')} · {' '.join(one.code for one in species)}"
                if species
                else "none yet: open this and press n",
            ),
            (
                "reminders",
                "Reminders about rules",
                f"{len(reminders)} in force"
                + (f" · ! {count_words(over, 'permit', 'permits')} expired" if over else "")
                if reminders
                else "none entered",
            ),
            ("prices", "Prices", f"{len(ledger.prices())} on the list"),
            ("helps", "Thresholds, keeping records", f"{taxes} of your own" if taxes else "none set"),
            ("method", "For your adviser: method", f"{own} set" if own else "all as they come"),
            ("backups", "Backups", self._backups()),
            ("ledger", "The ledger itself", f"{ledger.currency.code} · where it lies, and what only commands do"),
            ("fairs", "Drives to fairs", self._rate(kept[FAIRS[0]])),
        )
        return [Row(key, ((what, "bold"), stands)) for key, what, stands in said]

    def _rate(self, rate: str) -> str:
        return f"{rate} {self.desk.ledger.currency.code} a kilometre" if rate else "no rate of your own yet"

    def _backups(self) -> str:
        from tui.places.backups import newest_words

        return newest_words(self.desk.ledger)

    def detail(self, key: str) -> str:
        return MORE[key]

    def sum_up(self) -> str:
        return ""

    async def action_open(self) -> None:
        """The group of the row."""
        key = self.chosen
        if key is not None:
            await self.desk.open_form(_GROUPS[key](self))

    def ledger_lines(self) -> list[str]:
        """What the ledger is, and which of its acts stay commands."""
        ledger = self.desk.ledger
        period = ledger.ask(period_by_year, ledger.ask(year_of, ledger.today))
        return [
            f"Place: {ledger.store.place}",
            f"Currency: {ledger.currency.code}; it never changes",
            f"This accounting year: {long_day(period.first_day)} to {long_day(period.last_day)}",
            f"Recording as: {ledger.by}",
            "",
            "Done by commands alone (rearledger ...), since the ledger must not be open meanwhile, or",
            "since only the keeper of a server may:",
            "  restore newest --at PATH      a ledger from a backup, where there is none",
            "  accept                        go on with an older copy of the ledger",
            "  open-archive FILE --at PATH   a ledger from an archive (Year writes one)",
            "  move-to ADDRESS               copy the ledger to a database server",
            "  let-in ROLE                   let somebody use the ledger on a server",
            "  upgrade                       bring a ledger on a server up to date",
            "  prove                         prove that the whole ledger adds up",
        ]

    def number_lines(self) -> list[str]:
        """The last number of each series."""
        rows = self.desk.ledger.ask(last_numbers)
        last = [
            f"{numbered(number)}  the last hold"
            if series == HOLDS
            else f"{series}-{year}-{number:04d}  the last of {count_words(number, *SERIES[series])} in {year}"
            for series, year, number in rows
        ]
        return [
            *(last or ["No number was given yet: the first sale gets the first."]),
            "",
            "Sales and credits count from 1 in each accounting year. A number is given when the paper is recorded, "
            "never twice, and none is left out; that is why it cannot be set.",
        ]


class SettingsPage(ListPage):
    """The plain settings of one group.

    Args:
        title: of the group.
        names: of its settings.
    """

    WHERE = "settings-page"
    HELP = "Each setting as it stands. Enter changes the one the cursor is on; an empty field takes it away."
    ACTS: ClassVar[tuple[Act, ...]] = (Act("open", "enter", "change", "Change the setting of this row."), BACK)
    COLUMNS = (Column("setting", 20), Column("as it stands"))

    def __init__(self, title: str, names: Sequence[str]) -> None:
        super().__init__()
        self._heading = title
        self._names = tuple(names)

    def title_words(self) -> str:
        return self._heading

    def all_rows(self) -> list[Row]:
        kept = self.desk.ledger.ask(settings)
        return [Row(name, ((name, "bold"), _one_line(kept[name]) or ("not set", "$quiet"))) for name in self._names]

    def sum_up(self) -> str:
        return self._heading

    def remark(self) -> str:
        if self._names == POST:
            return "Your own limits for living animals: parcels are compared with them. Confirm with the carrier."
        return ""

    def read_anew(self) -> None:
        if "locale" in self._names:
            self.desk.write_days(order_of(self.desk.ledger.ask(settings)["locale"]))
        super().read_anew()

    async def action_open(self) -> None:
        """Change it."""
        if self.chosen is not None:
            await self.desk.open_form(SettingForm(self.chosen))


def _one_line(value: str) -> str:
    return " / ".join(line for line in value.split("\n") if line)


def _species(_place: SettingsPlace) -> Framed[None]:
    from tui.places.species import SpeciesPage

    return SpeciesPage()


def _reminders(_place: SettingsPlace) -> Framed[None]:
    from tui.places.reminders import RemindersPage

    return RemindersPage()


def _prices(_place: SettingsPlace) -> Framed[None]:
    from tui.places.prices import PricesPage

    return PricesPage()


def _helps(_place: SettingsPlace) -> Framed[None]:
    from tui.places.helps import HelpsPage

    return HelpsPage()


def _method(_place: SettingsPlace) -> Framed[None]:
    from tui.places.method import MethodPage

    return MethodPage()


def _made(_place: SettingsPlace) -> Framed[None]:
    from tui.places.backups import BackupsPage

    return BackupsPage()


_GROUPS: dict[str, Callable[[SettingsPlace], Framed[None]]] = {
    "papers": lambda _: SettingsPage("Business and papers", PAPERS),
    "dates": lambda _: SettingsPage("How days are written", DATES),
    "numbers": lambda place: TextPage("Numbers of papers", place.number_lines),
    "post": lambda _: SettingsPage("Post of living animals", POST),
    "fairs": lambda _: SettingsPage("Drives to fairs", FAIRS),
    "species": _species,
    "reminders": _reminders,
    "prices": _prices,
    "helps": _helps,
    "method": _method,
    "backups": _made,
    "ledger": lambda place: TextPage("The ledger itself", place.ledger_lines),
}

"""Settings: the business and its papers, dates, the post, species, reminders, methods, backups; one row for each group,
as it stands now. Enter opens the group."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.cells import cell_len

from ledger.days import long_day
from ledger.records.numbering import numberings
from ledger.records.periods import period_by_year, year_of
from ledger.records.series import KINDS
from ledger.records.settings import settings
from ledger.wording import counted, decimals, say, strung, word
from tui.actions import Act
from tui.forms.settings import SettingForm, setting_words
from tui.frame import Framed, Place
from tui.places.listing import LIST_ACTS, ListPage, WholeList
from tui.places.page import BACK, TextPage
from tui.tongue import LANGUAGES, SOURCE, tell
from tui.widgets.paged import ROOMY, Column, Row

PAPERS = (
    "business name",
    "address",
    "contact",
    "registration",
    "payment details",
    "days to pay",
    "terms",
    "logo",
    "document language",
    "label sheet",
)
POST = ("post days", "post temperature")
FAIRS = ("kilometre rate",)
DATES = ("screen language", "locale")
NUMBERS = tuple(kind.setting for kind in KINDS)
MORE = {
    "papers": say(
        "Name, address, terms, logo and what else stands on your papers; their language; your sheet of labels."
    ),
    "dates": say("What the screen speaks; language and country decide how days are written and how 14/3 is read."),
    "numbers": say(
        "How the numbers of sales, credits and holds look, and where they go on from; none is left out or given twice."
    ),
    "post": say("Weekdays and temperatures within which you post: your own limits, compared with when you post."),
    "fairs": say(
        "What a kilometre driven to a fair is reckoned at: your own rate; ask your adviser what your rules allow."
    ),
    "species": say("Each species with its stages: what is sold, days, survival, loss rates, care weights."),
    "reminders": say(
        "Protected, invasive, permits and when they end, limits of the post: as you entered them, no finding."
    ),
    "prices": say("The price list of a day, and how it changed."),
    "helps": say("Thresholds you set, beside what the books come to, and for how long you keep records."),
    "method": say(
        "By what each category of cost is shared, business parts, care weights, hour rate; each from a day on."
    ),
    "backups": say("Which there are, how old the newest is and where they lie; make one now, also on another disk."),
    "ledger": say("Where it lies, its accounting year, and what is done by commands alone."),
}
"""What is behind each group."""
LABELS = 26
"""Cells of a row that are not for its value."""
OPEN = Act("open", "enter", say("open{act}", act=""), say("Open the group of this row."))


TITLES = {
    "papers": say("Business and papers"),
    "dates": say("Language and days"),
    "numbers": say("Numbers of papers"),
    "post": say("Post of living animals"),
    "species": say("Species and stages"),
    "reminders": say("Reminders about rules"),
    "prices": say("Prices"),
    "helps": say("Thresholds, keeping records"),
    "method": say("For your adviser: method"),
    "backups": say("Backups"),
    "ledger": say("The ledger itself"),
    "fairs": say("Drives to fairs"),
}


class SettingsPlace(WholeList[None], Place):
    """The groups."""

    NAME = "settings"
    WHERE = "settings"
    TITLE_WORDS = say("Settings")
    HELP = say(
        "How your papers look, how days are written, what you keep and how costs are shared. Plain "
        "settings change in place; figures that change what the books say count from a day on, and a "
        "closed year keeps its own."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (OPEN, *LIST_ACTS)
    BY_WORD = tuple(Act(f"group('{key}')", "", title, MORE[key]) for key, title in TITLES.items())

    def columns(self) -> tuple[Column, ...]:
        # In whole words in every language: of a title that is cut nobody knows what stands behind it.
        longest = max(cell_len(tell(title)) for title in TITLES.values())
        return (
            Column(say("what"), max(longest, 28), above=ROOMY),
            Column(say("what"), 16, below=ROOMY),
            Column(say("as it stands")),
        )

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
        post = strung((setting_words(name, kept[name]) for name in POST if kept[name]), " · ")
        said: tuple[tuple[str, str], ...] = (
            (
                "papers",
                say(
                    "{name} · {papers} of {all} set",
                    name=kept["business name"] or say("no name yet"),
                    papers=len(papers),
                    all=len(PAPERS),
                ),
            ),
            (
                "dates",
                strung(
                    (
                        LANGUAGES.get(kept["screen language"], LANGUAGES[SOURCE]),
                        self.day(ledger.today),
                        kept["locale"] or say("no locale set"),
                    ),
                    " · ",
                ),
            ),
            ("numbers", strung((one.pattern for one in ledger.ask(numberings, ledger.today)), " · ")),
            ("post", post or say("no limits of your own yet")),
            (
                "species",
                strung(
                    (
                        counted(len(species), "{n} species", "{n} species"),
                        " ".join(one.code for one in species),
                    ),
                    " · ",
                )
                if species
                else say("none yet: open this and press n"),
            ),
            (
                "reminders",
                say("{reminders} in force", reminders=len(reminders))
                + (counted(over, " · ! {n} permit expired", " · ! {n} permits expired") if over else "")
                if reminders
                else say("none entered"),
            ),
            ("prices", say("{prices} on the list", prices=len(ledger.prices()))),
            (
                "helps",
                say("{taxes} of your own", taxes=taxes) if taxes else say("none set"),
            ),
            ("method", say("{own} set", own=own) if own else say("all as they come")),
            ("backups", self._backups()),
            (
                "ledger",
                say("{code} · where it lies, and what only commands do", code=ledger.currency.code),
            ),
            ("fairs", self._rate(kept[FAIRS[0]])),
        )
        return [Row(key, (*[(TITLES[key], "bold")] * 2, stands)) for key, stands in said]

    def _rate(self, rate: str) -> str:
        return (
            say("{rate} {code} a kilometre", rate=decimals(rate), code=self.desk.ledger.currency.code)
            if rate
            else say("no rate of your own yet")
        )

    def _backups(self) -> str:
        from tui.places.backups import newest_words

        return newest_words(self.desk.ledger)

    def detail(self, key: str) -> str:
        return MORE[key]

    def sum_up(self) -> str:
        return ""

    async def action_open(self) -> None:
        """The group of the row."""
        if self.chosen is not None:
            await self.action_group(self.chosen)

    async def action_group(self, key: str) -> None:
        """A group by its name."""
        await self.desk.open_form(_GROUPS[key](self))

    def ledger_lines(self) -> list[str]:
        """What the ledger is, and which of its acts stay commands."""
        ledger = self.desk.ledger
        period = ledger.ask(period_by_year, ledger.ask(year_of, ledger.today))
        return [
            say("Place: {place}", place=ledger.store.place),
            say("Currency: {code}; it never changes", code=ledger.currency.code),
            say(
                "This accounting year: {first_day} to {last_day}",
                first_day=long_day(period.first_day),
                last_day=long_day(period.last_day),
            ),
            say("Recording as: {by}", by=ledger.by),
            "",
            say("Done by commands alone (rearledger ...), since the ledger must not be open meanwhile, or"),
            say("since only the keeper of a server may:"),
            say("  restore newest --at PATH      a ledger from a backup, where there is none"),
            say("  accept                        go on with an older copy of the ledger"),
            say("  open-archive FILE --at PATH   a ledger from an archive (Year writes one)"),
            say("  move-to ADDRESS               copy the ledger to a database server"),
            say("  let-in ROLE                   let somebody use the ledger on a server"),
            say("  upgrade                       bring a ledger on a server up to date"),
            say("  prove                         prove that the whole ledger adds up"),
        ]


class SettingsPage(ListPage):
    """The plain settings of one group.

    Args:
        title: of the group.
        names: of its settings.
    """

    WHERE = "settings-page"
    HELP = say("Each setting as it stands. Enter changes the one the cursor is on; an empty field takes it away.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("change"), say("Change the setting of this row.")),
        BACK,
    )
    COLUMNS: ClassVar[tuple[Column, ...]] = (
        Column(say("setting"), 20, above=ROOMY),
        Column(say("setting"), 14, below=ROOMY),
        Column(say("as it stands")),
    )

    def __init__(self, title: str, names: Sequence[str]) -> None:
        super().__init__()
        self._heading = title
        self._names = tuple(names)

    def title_words(self) -> str:
        return self._heading

    def all_rows(self) -> list[Row]:
        kept = self.desk.ledger.ask(settings)
        return [
            Row(
                name,
                (*[(word(name), "bold")] * 2, _one_line(setting_words(name, kept[name])) or (say("not set"), "$quiet")),
            )
            for name in self._names
        ]

    def detail(self, key: str) -> str:
        """A value that may be cut in its row."""
        value = _one_line(self.desk.ledger.ask(settings)[key])
        return value if len(value) > self.app.size.width - LABELS else ""

    def sum_up(self) -> str:
        return self._heading

    def remark(self) -> str:
        if self._names == POST:
            return say("Your own limits for living animals: parcels are compared with them. Confirm with the carrier.")
        return ""

    async def action_open(self) -> None:
        """Change it."""
        if self.chosen is not None:
            await self.desk.open_form(SettingForm(self.chosen))


class NumbersPage(SettingsPage):
    """How the numbers of papers look."""

    WHERE = "numbers-page"
    HELP = say(
        "A number is given when the paper is recorded, never twice, and none is left out. A pattern is the "
        "first number as it shall look, YYYY or YY for the accounting year: RE-YYYY-0001 begins at 1 in each "
        "year, RE-0213 goes on from 213 through the years. Numbers given before stay, and a pattern you come "
        "back to goes on where it stood."
    )
    COLUMNS = (Column(say("setting"), 20), Column(say("pattern"), 18), Column(say("last"), 20), Column(say("next")))

    def all_rows(self) -> list[Row]:
        ledger = self.desk.ledger
        return [
            Row(
                one.kind.setting,
                ((word(one.kind.setting), "bold"), one.pattern, one.last or (say("none yet"), "$quiet"), one.next),
            )
            for one in ledger.ask(numberings, ledger.today)
        ]

    def remark(self) -> str:
        return say("Each paper gets its number when it is recorded: never twice, and none is left out.")


def _one_line(value: str) -> str:
    return strung((line for line in value.split("\n") if line), " / ") if "\n" in value else value


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
    "papers": lambda _: SettingsPage(say("Business and papers"), PAPERS),
    "dates": lambda _: SettingsPage(say("Language and days"), DATES),
    "numbers": lambda _: NumbersPage(say("Numbers of papers"), NUMBERS),
    "post": lambda _: SettingsPage(say("Post of living animals"), POST),
    "fairs": lambda _: SettingsPage(say("Drives to fairs"), FAIRS),
    "species": _species,
    "reminders": _reminders,
    "prices": _prices,
    "helps": _helps,
    "method": _method,
    "backups": _made,
    "ledger": lambda place: TextPage(say("The ledger itself"), place.ledger_lines),
}

"""Forms for plain settings: one for each, in a line or in several; read by the ledger's own reader as one types."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ledger.errors import BadInput
from ledger.records.commands import SetSetting
from ledger.records.series import KINDS
from ledger.records.settings import SETTINGS, WEEKDAYS, setting
from ledger.wording import capital, decimals, say, strung, word
from tui import tongue
from tui.forms.paths import is_file
from tui.look import short
from tui.typed_words import known_word, span_in_english
from tui.verbs.typed import order_of
from tui.widgets.fields import FieldSpec, nothing_beside, text
from tui.widgets.form import Form

BLOCKS = frozenset({"address", "terms", "contact", "registration", "payment details"})
"""Settings of several lines."""
LINES = 6
"""Fewest lines a form has for one of those."""
HINTS = {
    "business name": say("stands on every paper"),
    "logo": say("path of a picture, PNG or JPEG"),
    "locale": say("language and country: en_GB, en_US, de_DE"),
    "screen language": say("de or en; the screen speaks it at once"),
    "document language": say("two letters: en or de"),
    "label sheet": say("such as a4 3x8"),
    "post days": say("such as Mon Tue Wed; empty: any day"),
    "post temperature": say("degrees Celsius, such as 5 to 28; empty: no limits"),
    "days to pay": say("whole days from the sale; empty: none; check your local rules"),
    "kilometre rate": say("such as 0.30; empty: none"),
    **{kind.setting: say("the first number as it shall look, such as RE-YYYY-0001 or RE-0213") for kind in KINDS},
    "pretend today": say("only of an example ledger"),
}
LOCALES = ("en_GB", "en_US", "en_NZ", "en_AU", "en_CA", "en_IE", "de_DE", "de_AT", "de_CH", "fr_FR", "nl_NL", "es_ES")
"""Offered while typing; any other can be typed."""

_USUAL = {kind.setting: kind.usual for kind in KINDS}
"""What a pattern of numbers is while none was chosen."""


class SettingForm(Form):
    """One setting.

    Args:
        subject: its name.
    """

    WHERE = "setting"
    HELP = say(
        "Settings change in place and keep no history; papers written before stay as they are. An empty "
        "field takes the setting away."
    )

    def heading(self) -> str:
        return capital(word(self.subject))

    def specs(self) -> Sequence[FieldSpec]:
        name = self.subject
        kept = self.desk.ledger.ask(setting, name, "") or _USUAL.get(name, "")
        if name in BLOCKS:
            lines = kept.split("\n")
            return tuple(
                FieldSpec(
                    f"line{n}",
                    say("line {n}", n=n),
                    text("line", limit=2000),
                    lines[n - 1] if n <= len(lines) else "",
                    nothing_beside,
                )
                for n in range(1, max(LINES, len(lines) + 2) + 1)
            )
        return (
            FieldSpec(
                "value",
                word(name),
                _reader(name),
                setting_words(name, kept),
                self._beside(),
                hint=HINTS.get(name, ""),
                known=_known(name),
            ),
        )

    def command(self, values: Mapping[str, Any]) -> SetSetting:
        if self.subject in BLOCKS:
            return SetSetting(self.subject, "\n".join(values.values()).strip("\n"))
        return SetSetting(self.subject, values["value"])

    def _beside(self) -> Callable[[Any], str]:
        today = self.desk.ledger.today
        if self.subject == "locale":
            return lambda value: say(
                "{today}; 14/3 reads {read}", today=short(today, order_of(value)), read=_read(order_of(value))
            )
        if self.subject == "screen language":
            return lambda value: say(
                "{language}, spoken at once",
                language=tongue.LANGUAGES.get(value or tongue.SOURCE, tongue.LANGUAGES[tongue.SOURCE]),
            )
        if self.subject == "logo":
            return lambda value: "" if not value or is_file(value) else say("there is no such file now")
        return nothing_beside


def _reader(name: str) -> Callable[[str], str]:
    """How a setting is read: as the ledger does; of languages only those the screen has."""
    if name == "screen language":
        return _language
    if name == "post days":
        return lambda typed: SETTINGS[name](
            " ".join(known_word(one, WEEKDAYS) for one in typed.replace(",", " ").split())
        )
    if name == "post temperature":
        return lambda typed: SETTINGS[name](span_in_english(typed) or typed)
    return SETTINGS[name]


def setting_words(name: str, kept: str) -> str:
    """A setting as a keeper reads it."""
    if name == "post days":
        return strung((word(day) for day in kept.split()), " ") if kept else ""
    if name == "post temperature" and kept:
        low, _, high = kept.partition(" to ")
        return say("{first} to {last}", first=low, last=high)
    return decimals(kept) if name == "kilometre rate" else kept


def _language(typed: str) -> str:
    code = SETTINGS["screen language"](typed)
    if code and code not in tongue.LANGUAGES:
        known = strung((strung((one, " (", name, ")"), "") for one, name in tongue.LANGUAGES.items()), ", ")
        raise BadInput(
            say("The screen does not speak {code}; choose one of: {known}.", code=code, known=known), "value"
        )
    return code


def _read(order: str) -> str:
    return (
        say("month first")
        if order == "mdy"
        else say("day first")
        if order == "dmy"
        else say("year first: write 2025-03-14")
    )


def _known(name: str) -> Sequence[str]:
    if name == "locale":
        return LOCALES
    if name == "screen language":
        return tuple(tongue.LANGUAGES)
    if name == "document language":
        from exports.documents.language import LANGUAGES

        return tuple(LANGUAGES)
    if name == "label sheet":
        from exports.documents.sheets import SHEETS

        return tuple(SHEETS)
    return (strung(map(word, WEEKDAYS[:3]), " "),) if name == "post days" else ()

"""Plain settings: what the keeper's papers say and how they look. They change in place and keep no history.

Figures that change what the books say (weights, loss rates, sharing keys) are dated rows elsewhere.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from sqlalchemy import Connection, insert, select, text

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotFound
from ledger.records.commands import SetSetting
from ledger.records.numbering import NumberingPlan, commit_numbering, kind_of_setting, plan_numbering
from ledger.records.series import KINDS, read_pattern
from ledger.records.tables import setting as table
from ledger.records.tables import terms
from ledger.text import clean, clean_block, quoted
from ledger.wording import capital, say, strung, word

_LOCALE = re.compile(r"[a-z]{2,3}(?:_[A-Z][a-z]{3})?(?:_[A-Z]{2})?")
_WRITE = text(
    "INSERT INTO setting (name, value) VALUES (:name, :value) ON CONFLICT (name) DO UPDATE SET value = excluded.value"
)


def _line(value: str) -> str:
    return clean(value, limit=120, field="value")


def _lines(value: str) -> str:
    return clean_block(value, limit=2000, field="value")


def _path(value: str) -> str:
    return clean(value, limit=1000, field="value")


_CALLED = {"english": "en", "german": "de", "deutsch": "de", "englisch": "en"}
"""Languages by their names."""


def _language(value: str) -> str:
    name = clean(value, limit=20, field="value").lower()
    name = _CALLED.get(name, name)
    if name and not re.fullmatch("[a-z]{2,3}", name):
        raise BadInput(
            say("{typed} is no language; write its two letters, such as en or de.", typed=quoted(value)), "value"
        )
    return name


def _locale(value: str) -> str:
    name = clean(value, limit=20, field="value").replace("-", "_")
    if _CALLED.get(name.lower()) == "en":
        raise BadInput(
            say(
                "{typed} is written en_GB or en_US: they write days in different orders; say which.",
                typed=quoted(value),
            ),
            "value",
        )
    name = _CALLED.get(name.lower(), name)
    if name and not _LOCALE.fullmatch(name):
        raise BadInput(
            say("{typed} is no language and country; write it like en_GB or de_DE.", typed=quoted(value)), "value"
        )
    return name


def _pretended_day(value: str) -> str:
    day = clean(value, limit=20, field="value")
    try:
        return day and dt.date.fromisoformat(day).isoformat()
    except ValueError:
        raise BadInput(say("{typed} is no date; write it like 2025-06-02.", typed=quoted(value)), "value") from None


def _as_said(name: str, value: str) -> str:
    """A value between quotation marks; days of the week can be said in another language."""
    days = value.split() if name == "post days" else []
    return strung(('"', strung(map(word, days)), '"'), "") if days else quoted(value)


WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_RANGE = re.compile(r"(-?\d{1,2})\s*(?:to|\.\.)\s*(-?\d{1,2})", re.ASCII)


def _weekdays(value: str) -> str:
    """'mon, wednesday' as 'Mon Wed', in the order of the week; empty: any day."""
    typed = clean(value, limit=120, field="value").replace(",", " ").split()
    known = {day.casefold(): day for day in WEEKDAYS}
    days = {known.get(word.casefold()[:3], "") for word in typed}
    if "" in days:
        raise BadInput(
            say("{typed} are no days of the week; write them like Mon Tue Wed.", typed=quoted(value)), "value"
        )
    return " ".join(day for day in WEEKDAYS if day in days)


def _temperatures(value: str) -> str:
    """'5 to 28', degrees Celsius; empty: no limits."""
    typed = clean(value, limit=40, field="value")
    found = _RANGE.fullmatch(typed)
    if typed and (found is None or int(found[1]) > int(found[2])):
        raise BadInput(
            say("{typed} is no range of temperatures; write degrees Celsius like 5 to 28.", typed=quoted(value)),
            "value",
        )
    return f"{int(found[1])} to {int(found[2])}" if found else ""


_RATE = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,6})?", re.ASCII)


def kilometre_rate(value: str, field: str = "value") -> str:
    """'0,30' as '0.30': what a kilometre is reckoned at, in the ledger's currency; empty: nothing.

    Raises:
        BadInput: it is no such amount, or nought.
    """
    typed = clean(value, limit=20, field=field)
    rate = typed.replace(",", ".")
    if typed and (_RATE.fullmatch(typed) is None or not float(rate)):
        raise BadInput(say("{typed} is no rate for a kilometre; write it like 0.30.", typed=quoted(value)), field)
    return rate


_LONGEST_TO_PAY = 365
CHECK_TERMS = say("How long a buyer may be given or must be given differs from place to place: check your local rules.")


def _days_to_pay(value: str) -> str:
    """'14': days from a sale until it is to be paid; empty: none are said."""
    typed = clean(value, limit=20, field="value")
    if typed and not (typed.isascii() and typed.isdigit() and int(typed) <= _LONGEST_TO_PAY):
        raise BadInput(
            say(
                "{typed} is no number of days; write a whole one up to {most}, such as 14, or leave it empty.",
                typed=quoted(value),
                most=_LONGEST_TO_PAY,
            ),
            "value",
        )
    return typed and str(int(typed))


def _pattern(value: str) -> str:
    typed = clean(value, limit=40, field="value")
    return typed and read_pattern(typed).text


SETTINGS: dict[str, Callable[[str], str]] = {
    "business name": _line,
    "address": _lines,
    "terms": _lines,
    "locale": _locale,
    "contact": _lines,
    "registration": _lines,
    "payment details": _lines,
    "days to pay": _days_to_pay,
    "logo": _path,
    "document language": _language,
    "screen language": _language,
    "label sheet": _line,
    "post days": _weekdays,
    "post temperature": _temperatures,
    "kilometre rate": kilometre_rate,
    "pretend today": _pretended_day,
    **{kind.setting: _pattern for kind in KINDS},
}
"""Every setting, with how its value is read. `post days` and `post temperature` are the keeper's own limits for living
animals, `kilometre rate` what a drive to a fair is reckoned at; there are none until they are set. `contact` stands
below the address, `registration` (licence and tax numbers, as entered) and `payment details` at the foot of an invoice,
`days to pay` makes a day of payment below what is owed;
`logo` is the path of a picture. `sale numbers` and its like are patterns (`series`), checked by `numbering`. `pretend
today` is the day an example ledger lives in."""


@dataclass(frozen=True, slots=True)
class SettingPlan:
    """A setting about to be written."""

    name: str
    value: str
    sentence: str
    cautions: tuple[str, ...] = ()
    numbering: NumberingPlan | None = None
    """Of a pattern for numbers."""


def setting(conn: Connection, name: str, default: str = "") -> str:
    """The value of one setting, or `default` while it was never set."""
    found = conn.execute(select(table.c.value).where(table.c.name == name)).scalar_one_or_none()
    return default if found is None else found


def settings(conn: Connection) -> dict[str, str]:
    """Every setting by name; those never set are empty."""
    kept = {row.name: row.value for row in conn.execute(select(table))}
    return {name: kept.get(name, "") for name in SETTINGS}


def write_setting(conn: Connection, name: str, value: str) -> None:
    """Write a setting that has been read by its entry in `SETTINGS`."""
    conn.execute(_WRITE, {"name": name, "value": value})


def plan_setting(conn: Connection, command: SetSetting, scene: Scene) -> SettingPlan:
    """Check a setting.

    Raises:
        NotFound: there is no setting of that name.
        BadInput: the value cannot be kept.
        Refused: a pattern would give numbers twice or leave some out.
    """
    if command.name not in SETTINGS:
        raise NotFound(
            say(
                "There is no setting {name}; the settings are {settings}.",
                name=quoted(command.name),
                settings=strung(SETTINGS, ", "),
            ),
            "name",
            {"settings": tuple(SETTINGS)},
        )
    value = SETTINGS[command.name](command.value)
    if (kind := kind_of_setting(command.name)) is not None:
        numbering = plan_numbering(conn, kind, value, scene)
        return SettingPlan(command.name, numbering.typed, numbering.sentence, numbering=numbering)
    sentence = (
        say("{setting}: {value}.", setting=word(command.name), value=_as_said(command.name, value))
        if value
        else say("{setting}: nothing.", setting=word(command.name))
    )
    cautions = (CHECK_TERMS,) if value and command.name == "days to pay" else ()
    return SettingPlan(command.name, value, capital(sentence), cautions)


def commit_setting(conn: Connection, plan: SettingPlan, act: Act) -> Done:
    """Write a checked setting; terms of sale are also kept as they stood, for what is sold from now on."""
    if plan.numbering is not None:
        numbering = commit_numbering(conn, plan.numbering, act.scene, partial(write_setting, conn))
        plan = replace(plan, sentence=numbering.sentence)
    before = setting(conn, plan.name)
    write_setting(conn, plan.name, plan.value)
    if plan.name == "terms":
        conn.execute(insert(terms).values(text=plan.value, operation_id=act.operation))
    return Done(plan.sentence, {"setting": plan.name, "before": before, "after": plan.value}, plan.cautions)

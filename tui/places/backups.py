"""Backups of the ledger: which there are, how old the newest is, where they lie; one made now, aside."""

from __future__ import annotations

import datetime as dt
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.errors import Refused
from ledger.wording import counted, say
from tui.actions import Act
from tui.aside import Aside
from tui.forms.asking import Asking
from tui.forms.paths import a_path
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.verbs.watch import utc_now
from tui.widgets.fields import FieldSpec
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ledger.ledger import Ledger
    from ledger.records.backups import Backup

WIDE = 110
WHY = {
    "start": say("the screen was opened"),
    "daily": say("first of a day"),
    "asked": say("asked for"),
    "bring-in": say("before a sheet"),
    "closing": say("before a closing"),
    "upgrade": say("before an upgrade"),
}


def age_words(made_at: dt.datetime, now: dt.datetime) -> str:
    """'12 minutes old', '3 hours old', '5 days old'."""
    minutes = int((now - made_at).total_seconds()) // 60
    if minutes < 0:
        return say("dated ahead of this computer's clock")
    if minutes < 120:
        return counted(minutes, "{n} minute old", "{n} minutes old")
    if minutes < 48 * 60:
        return say("{hours} hours old", hours=minutes // 60)
    return say("{days} days old", days=minutes // (24 * 60))


def newest_words(ledger: Ledger) -> str:
    """How old the newest backup is, in a few words."""
    from ledger.records import backups

    try:
        there = backups.backups(ledger.store.target)
    except Refused as refusal:
        return refusal.sentence
    return (
        say("the newest is {age_words}", age_words=age_words(there[0].made_at, utc_now()))
        if there
        else say("! none yet: open this and press n")
    )


class BackupsPage(ListPage, Aside[None]):
    """Newest first."""

    WHERE = "backups"
    HELP = say(
        "Backups are made by themselves: when the screen opens, on the first recording of a day, before "
        "an upgrade or a sheet. Each is read back row by row. They lie on the same disk as the ledger, "
        "so put one elsewhere now and then (Enter). Bringing one back is a command: rearledger restore "
        "newest --at PATH."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("make_one", "n", say("new"), say("Make a backup now, beside the others, and read it back.")),
        Act("elsewhere", "enter", say("to a folder"), say("Make a backup in another folder, such as on a stick.")),
        BACK,
    )
    COLUMNS = (
        Column(say("made"), 18),
        Column(say("age"), 16),
        Column(say("why"), 22),
        Column(say("acts"), 10, right=True),
        Column(say("file"), above=WIDE),
        Column("", 1, below=WIDE),
    )
    EMPTY = (
        say("There is no backup yet."),
        say("Press n to make one now. They make themselves once something is recorded."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._backups: dict[str, Backup] = {}
        self._refused = ""

    def title_words(self) -> str:
        return say("Backups")

    def all_rows(self) -> list[Row]:
        from ledger.records import backups

        self._backups = {}
        try:
            there = backups.backups(self.desk.ledger.store.target)
        except Refused as refusal:
            self._refused = refusal.sentence
            return []
        self._refused = ""
        now = utc_now()
        self._backups = {one.path.name: one for one in there}
        return [
            Row(
                name,
                (
                    f"{self.day(one.made_at.astimezone().date())} {one.made_at.astimezone():%H:%M}",
                    age_words(one.made_at, now),
                    WHY.get(one.why, one.why),
                    str(one.acts),
                    name,
                    "",
                ),
            )
            for name, one in self._backups.items()
        ]

    def detail(self, key: str) -> str:
        # Whole and quoted, so that it works as it is copied, whichever ledger a terminal has in hand.
        path = shlex.quote(str(self._backups[key].path))
        return say("rearledger restore {path} --at restored.rearledger makes a ledger from it.", path=path)

    def read_anew(self) -> None:
        super().read_anew()
        if self._refused:
            self.desk.say(Answer(self._refused, "refused"))

    def sum_up(self) -> str:
        first = next(iter(self._backups.values()), None)
        return (
            say("the newest is {age_words}", age_words=age_words(first.made_at, utc_now())) if first is not None else ""
        )

    def action_make_one(self) -> None:
        """One now."""
        self._make(None)

    async def action_elsewhere(self) -> None:
        """One in another folder."""
        await self.desk.open_form(FolderForm(self._chosen))

    async def _chosen(self, values: dict[str, Any]) -> None:
        self._make(values["folder"])

    def _make(self, folder: Path | None) -> None:
        from ledger.records import backups

        store = self.desk.ledger.store
        self.foot.sum_up(say("making a backup ..."))
        self.ask_aside(lambda: backups.make(store, "asked", utc_now(), folder))

    def told(self, answer: object) -> None:
        made: Backup = answer  # type: ignore[assignment]
        acts = counted(made.acts, "{n} act", "{n} acts")
        if made.path.name in self._backups and made.path.parent == next(iter(self._backups.values())).path.parent:
            said = say(
                "Nothing was recorded since: {name} holds all {acts}, and was read back row by row again.",
                name=made.path.name,
                acts=acts,
            )
            self.desk.say(Answer(said, "done"))
            self.read_anew()
            return
        self.desk.say(
            Answer(
                say(
                    "The backup is {path}; it holds {acts} and was read back row by row.",
                    path=str(made.path),
                    acts=acts,
                ),
                "done",
            )
        )
        self.read_anew()

    def refused(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))
        self.read_anew()


class FolderForm(Asking):
    """Which folder."""

    WHERE = "backup-folder"
    HELP = say("The folder must be there already, such as a stick or a disk of another computer.")

    def heading(self) -> str:
        return say("A backup in another folder")

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("folder", say("folder"), _folder, "", lambda path: say("is there") if path.is_dir() else ""),)

    def said_of(self, values: Mapping[str, Any]) -> str:
        return say("A backup is made in {values} and read back row by row.", values=values["folder"])


def _folder(typed: str) -> Path:
    from ledger.errors import BadInput
    from ledger.text import quoted

    path = a_path("folder")(typed)
    if not path.is_dir():
        raise BadInput(
            say("There is no folder {path}; make it first, or write another.", path=quoted(str(path))), field="folder"
        )
    return path

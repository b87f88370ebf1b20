"""Watching over a ledger that is opened for recording: was it swapped for another copy, is there a backup of today?

Runs before a verb records, and behind the screen once that is drawn. What goes wrong with a backup is said and stops
nobody; a ledger that went back stops everybody until its keeper has decided.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.errors import Refused
from ledger.text import show
from ledger.wording import say, strung
from tui.verbs.place import state_folder

if TYPE_CHECKING:
    from ledger.act import Done
    from ledger.ledger import Ledger
    from ledger.records.backups import Backup
    from ledger.records.head import Head

DAY = dt.timedelta(days=1)


def head_of(target: str) -> Head:
    """What this computer remembers of a ledger.

    Args:
        target: path or URL.
    """
    from ledger.records.engines import is_server
    from ledger.records.head import Head
    from ledger.records.store import place_of

    place = place_of(target) if is_server(target) else os.path.realpath(target)
    return Head(state_folder(), place)


def open_to_write(target: str) -> Ledger:
    """Open a ledger for recording: brought up to date if it is a file of an older version, watched over, backed up.

    Raises:
        NotALedger, NewerLedger, OlderLedger, Busy: it cannot be used, and why.
        WentBack: it is not as this computer last saw it.
    """
    from ledger.errors import OlderLedger
    from ledger.ledger import Ledger
    from ledger.records.engines import is_server

    try:
        ledger = Ledger.open(target)
    except OlderLedger:
        if is_server(target):
            raise
        from ledger.records.upgrading import bring_up

        done = bring_up(target, utc_now())
        where = f"; the ledger as it was is in {done.backup.path}" if done.backup else ""
        sys.stderr.write(show(f"The ledger was brought from version {done.before} to {done.after}{where}.") + "\n")
        ledger = Ledger.open(target)
    watch(ledger)
    return ledger


def utc_now() -> dt.datetime:
    """The moment it is, for the names of backups."""
    return dt.datetime.now(dt.UTC)


def watch(ledger: Ledger) -> None:
    """Compare a ledger with what was last seen of it, and go on remembering each act.

    Raises:
        WentBack: it lacks acts that were seen; it has been closed.
    """
    head = head_of(ledger.store.target)
    try:
        head.check(ledger.store)
    except BaseException:
        ledger.close()
        raise

    def note() -> None:
        # What was recorded stands, whether or not it can be remembered here.
        with contextlib.suppress(OSError, Refused):
            head.note(ledger.store)

    note()
    ledger.recorded = note


def back_up(ledger: Ledger, why: str) -> Backup | None:
    """Make a backup before something large; without one it does not begin. A server's keeper sees to its own: None.

    Raises:
        DiskFull, DiskFault, ReadOnly: there is no backup, and why.
    """
    from ledger.records import backups

    if ledger.store.dialect != "sqlite":
        return None
    try:
        return backups.make(ledger.store, why, utc_now())
    except Refused as failed:
        reason = say(
            "Nothing was recorded, since there is no backup to go back to. {reason}",
            reason=failed.sentence,
        )
        raise type(failed)(reason, failed.field, failed.facts) from failed


def with_backup(done: Done, backup: Backup | None) -> Done:
    """What was recorded, and where the ledger is as it was before."""
    if backup is None:
        return done
    kept = say("The ledger as it was is in {path}.", path=backup.path)
    return replace(done, sentence=strung((done.sentence, kept)), refs={**done.refs, "backup": str(backup.path)})


def back_up_daily(ledger: Ledger) -> None:
    """Make a backup of a ledger in a file if the newest is more than a day old; one without a single act needs none."""
    from ledger.records import backups
    from ledger.records.head import last_act

    if ledger.store.dialect != "sqlite" or not _may_be_written(Path(ledger.store.target)):
        return
    try:
        there = backups.backups(ledger.store.target)
        now = utc_now()
        # One from a day when the clock was ahead tells nothing of today.
        recent = any(now - DAY <= one.made_at <= now for one in there)
        if not recent and ledger.ask(last_act):
            backups.make(ledger.store, "daily", now)
    except (Refused, OSError) as failed:
        _say_once_recorded(ledger, f"Caution: there is no new backup. {show(str(failed))}\n")


def _say_once_recorded(ledger: Ledger, caution: str) -> None:
    """Say it when something is recorded without a backup; who records nothing has nothing to lose."""
    note = ledger.recorded

    def said() -> None:
        ledger.recorded = note
        with contextlib.suppress(OSError):
            sys.stderr.write(caution)
        note()

    ledger.recorded = said


def _may_be_written(path: Path) -> bool:
    """Whether anything can be recorded there at all; where not, the recording itself says so."""
    own = os.access in os.supports_effective_ids
    return all(os.access(one, os.W_OK, effective_ids=own) for one in (path, path.absolute().parent))


def chores(ledger: Ledger) -> Callable[[], str]:
    """What the screen does once it is drawn: a backup, and a look at where the ledger is.

    Returns:
        Does it, and gives what the keeper should know, or nothing.
    """

    def work() -> str:
        from ledger.records import backups
        from ledger.records.head import last_act
        from ledger.records.whereabouts import cautions

        if ledger.store.dialect != "sqlite" or not ledger.ask(last_act):
            return ""
        try:
            backups.make(ledger.store, "start", utc_now())
        except Refused as failed:
            return f"There is no new backup. {failed.sentence}"
        return " ".join(cautions(Path(ledger.store.target)))

    return work

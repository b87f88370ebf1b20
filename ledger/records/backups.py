"""Backups of a ledger in a file: made by SQLite itself, verified row by row, kept in generations, brought back.

A copy is whole or not there: it is written under another name, checked against the rows it was made from, and only
then named. The name says when, why, after how many acts, and the digest of its rows. The folder beside the ledger is
0700 and each copy 0600. The live file is never read but through SQLite, whose locks a plain reading would drop
(https://sqlite.org/howtocorrupt.html, section 2.2). A ledger on a server is backed up by whoever keeps the server.
"""

from __future__ import annotations

import datetime as dt
import errno
import os
import re
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, select

from ledger.errors import BadInput, DiskFault, DiskFull, NotALedger, NotFound, ReadOnly, Refused
from ledger.placing import give_name, settle
from ledger.records.engines import is_server
from ledger.records.generations import kept
from ledger.records.head import last_act
from ledger.records.rows import Fingerprint, fingerprint
from ledger.records.store import Store, open_store, place_of
from ledger.records.tables import operation
from ledger.text import count_words
from ledger.wording import say

REASONS = ("start", "daily", "asked", "bring-in", "closing", "upgrade")
"""Why a backup was made."""
_NAME = re.compile(r"(?P<at>\d{8}-\d{6})-(?P<why>[a-z]+(?:-[a-z]+)?)-(?P<acts>\d+)-(?P<digest>[0-9a-f]{16})\.backup")
_AT = "%Y%m%d-%H%M%S"
_LEFT_OVER = 24 * 60 * 60.0
"""Seconds after which a copy that was never finished is taken for left over by a program that was killed."""


@dataclass(frozen=True, slots=True)
class Backup:
    """One copy of a ledger."""

    path: Path
    made_at: dt.datetime
    """UTC, to the second."""
    why: str
    acts: int
    """Number of the last act of recording in it."""
    digest: str
    """First 16 figures of the digest of its rows."""


def folder_of(target: str) -> Path:
    """The folder a ledger's backups are in, beside it.

    Raises:
        BadInput: it is on a server.
    """
    if is_server(target):
        raise BadInput(
            say(
                "A ledger on a server is backed up by whoever keeps the server; rearledger archive writes a copy of it."
            ),
            "ledger",
        )
    path = Path(target).absolute()
    return path.with_name(f"{path.name}-backups")


def backups(target: str) -> tuple[Backup, ...]:
    """A ledger's backups, newest first.

    Raises:
        BadInput: it is on a server.
        NotFound: their folder is none, or cannot be read.
    """
    folder = folder_of(target)
    try:
        return _in(folder, os.listdir(folder))
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise NotFound(
            say(
                "The backups in {folder} cannot be read ({strerror}); see what is there, and who may read it.",
                folder=folder,
                strerror=error.strerror,
            ),
            "backup",
        ) from error


def make(store: Store, why: str, now: dt.datetime, to: Path | None = None) -> Backup:
    """Make a backup and verify it, unless the newest there is still holds the same rows; then thin out the older ones.

    Args:
        store: the open ledger.
        why: one of `REASONS`.
        now: UTC.
        to: another folder than the usual one; nothing is thinned out there.

    Raises:
        BadInput: it is on a server, or there is no such folder.
        DiskFull, DiskFault, ReadOnly: there is no backup, and why.
    """
    folder = to or folder_of(store.target)
    with _in_words(folder), ExitStack() as stack:
        if to is None:
            _make_folder(folder)
        # Who records waits for a reader to end: the copy is verified after that.
        with store.reading() as conn:
            seen = fingerprint(conn)
            acts = last_act(conn)
            newest = next(iter(_in(folder, os.listdir(folder))), None)
            same = newest is not None and newest.digest == seen.digest[:16] and newest.acts == acts
            if newest is not None and same and _holds(newest.path, seen):
                return newest
            path = folder / f"{now.strftime(_AT)}-{why}-{acts}-{seen.digest[:16]}.backup"
            part = stack.enter_context(_part(path))
            _copy(conn, part)
        verify(part, seen)
        give_name(part, path)
        if to is None:
            _thin_out(path, now)
    return Backup(path, now.replace(microsecond=0), why, acts, seen.digest[:16])


def _holds(path: Path, seen: Fingerprint) -> bool:
    """Whether a backup is still what its name says: disks fail, and a program may be killed between name and copy."""
    try:
        verify(path, seen)
    except Refused:
        return False
    return True


def verify(path: Path, expected: Fingerprint | None = None) -> Fingerprint:
    """Check that a copy is sound, and holds the rows it should.

    Args:
        path: of the copy.
        expected: what it was made from; None: what its name says, if it is one of ours.

    Raises:
        NotALedger: it is none.
        DiskFault: it is damaged, or holds other rows.
    """
    store = open_store(str(path), read_only=True, older=True)
    try:
        with store.reading() as conn:
            if conn.exec_driver_sql("PRAGMA integrity_check(1)").scalar_one() != "ok":
                raise _damaged(path)
            found = fingerprint(conn)
    finally:
        store.close()
    named = _NAME.fullmatch(path.name)
    as_named = named is None or found.digest.startswith(named["digest"])
    if not (as_named if expected is None else found == expected):
        raise _damaged(path)
    return found


def find(target: str, name: str) -> Path:
    """The backup of a name in the ledger's folder of backups, or at a path.

    Raises:
        NotFound: there is none.
    """
    for one in () if is_server(target) else backups(target):
        if one.path.name == name:
            return one.path
    if Path(name).is_file():
        return Path(name)
    # Somebody may give an address by mistake, and that may hold a password.
    named = "of that name" if "://" in name else name
    raise NotFound(
        say("There is no backup {named}; rearledger backup list says which there are.", named=named), "backup"
    )


def newest_sound(target: str) -> tuple[Backup, tuple[Backup, ...]]:
    """The newest backup that is what its name says, and the damaged ones passed over for it.

    Raises:
        NotFound: there is none.
        BadInput: it is not clear which is the newest.
        DiskFault: every one is damaged.
    """
    there = () if is_server(target) else backups(target)
    if not there:
        raise NotFound(say("There is no backup of {place} yet.", place=place_of(target)), "backup")
    damaged: list[Backup] = []
    for one in there:
        if not _is_sound(one.path):
            damaged.append(one)
            continue
        longest = max((other for other in there if other not in damaged), key=lambda other: other.acts)
        if longest.acts > one.acts:
            # The clock was ahead once, or an older copy of the ledger was gone on with.
            raise BadInput(
                say(
                    "The newest backup by its date ({name}) holds fewer acts of recording than {other}; name the one "
                    "that is meant, as in rearledger backup list.",
                    name=one.path.name,
                    other=longest.path.name,
                ),
                "backup",
            )
        return one, tuple(damaged)
    raise DiskFault(
        say(
            "Every backup of {place_of} is damaged ({name} is the newest); look for a copy on another disk.",
            place_of=place_of(target),
            name=there[0].path.name,
        ),
        "backup",
    )


def _is_sound(path: Path) -> bool:
    """Whether a backup is undamaged; one of a newer version is, though this program cannot use it."""
    try:
        verify(path)
    except (DiskFault, NotALedger):
        return False
    return True


def restore(backup: Path, target: str) -> Fingerprint:
    """Make a ledger from a backup, where there is none or an empty one.

    Raises:
        BadInput, Refused: there is a ledger with records, or something else, at that place or beside it.
        NotALedger, DiskFault: the backup cannot be used.
        DiskFull, ReadOnly: nothing can be written there.
    """
    if is_server(target):
        raise BadInput(
            say(
                "A backup becomes a ledger in a file; restore it to a path, then rearledger move-to takes it to "
                "a server."
            ),
            "at",
        )
    path = Path(target).absolute()
    _may_be_replaced(path)
    expected = verify(backup)
    with _in_words(path.parent), _part(path) as part:
        with closing(sqlite3.connect(f"{backup.absolute().as_uri()}?mode=ro", uri=True)) as source:
            _pages(source, part)
        verify(part, expected)
        if path.exists():
            _may_be_replaced(path)
            os.replace(part, path)
            settle(path.parent)
        else:
            give_name(part, path)
    return expected


def _may_be_replaced(path: Path) -> None:
    """Refuse a place where anything but an empty ledger is."""
    if not os.path.lexists(path):
        _has_no_journal(path)
        return
    try:
        store = open_store(str(path), read_only=True, older=True)
    except NotALedger:
        raise BadInput(
            say("There is something at {path} that is no ledger; choose another place.", path=path), "at"
        ) from None
    try:
        with store.reading() as conn:
            acts = int(conn.execute(select(func.count()).select_from(operation)).scalar_one())
    finally:
        store.close()
    if acts:
        raise Refused(
            say(
                "There is a ledger with {acts} of recording at {path}, and a backup never replaces one; choose "
                "another place, or move that ledger away first.",
                acts=count_words(acts, "act", "acts"),
                path=path,
            ),
            "at",
            {"acts": acts},
        )
    _has_no_journal(path)


def _has_no_journal(path: Path) -> None:
    """Refuse a place beside which lies what another ledger left of an unfinished act.

    SQLite would take it for the new one's and play it into that (https://sqlite.org/howtocorrupt.html, section 1.4).
    """
    for end in ("-journal", "-wal"):
        left = path.with_name(path.name + end)
        with suppress(FileNotFoundError):
            if left.stat().st_size:
                raise BadInput(
                    say(
                        "{left} belongs to a ledger that was at that place; move it to where that ledger is now, or "
                        "choose another place.",
                        left=left,
                    ),
                    "at",
                )


def _make_folder(folder: Path) -> None:
    """The folder beside the ledger, for its owner alone where the disk knows owners."""
    if os.path.lexists(folder) and not folder.is_dir():
        raise ReadOnly(
            say("{folder} is no folder, so no backup can be kept there; move it out of the way.", folder=folder), "at"
        )
    folder.mkdir(mode=0o700, exist_ok=True)
    # A memory stick knows none and refuses to try; each copy is for its owner alone besides.
    with suppress(PermissionError):
        folder.chmod(0o700)


def _in(folder: Path, names: list[str]) -> tuple[Backup, ...]:
    found = []
    for name in names:
        if (read := _NAME.fullmatch(name)) and (folder / name).is_file():
            # Whoever names a file after a moment that is none has not got it from here.
            with suppress(ValueError):
                made_at = dt.datetime.strptime(read["at"], _AT).replace(tzinfo=dt.UTC)
                found.append(Backup(folder / name, made_at, read["why"], int(read["acts"]), read["digest"]))
    return tuple(sorted(found, key=lambda one: (one.made_at, one.acts, one.path.name), reverse=True))


def _thin_out(newest: Path, now: dt.datetime) -> None:
    """Delete the backups that are not kept; the one just made stays, whatever the clock says."""
    folder = newest.parent
    there = _in(folder, os.listdir(folder))
    keep = kept((one.made_at for one in there), now)
    for one in there:
        if one.made_at not in keep and one.path != newest:
            one.path.unlink(missing_ok=True)
    for left in folder.glob(".*.part*"):
        with suppress(FileNotFoundError):
            if left.stat().st_mtime < time.time() - _LEFT_OVER:
                left.unlink()


def _copy(conn: Connection, part: Path) -> None:
    """Copy what a reading transaction sees, page by page."""
    raw: Any = conn.connection.dbapi_connection
    _pages(raw, part)


def _pages(source: sqlite3.Connection, part: Path) -> None:
    with closing(sqlite3.connect(part)) as copy:
        copy.execute("PRAGMA synchronous=FULL")
        source.backup(copy)
    settle(part)


@contextmanager
def _part(path: Path) -> Iterator[Path]:
    """An empty file only its owner may read, gone when the block ends."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    os.close(handle)
    part = Path(name)
    try:
        yield part
    finally:
        for left in (part, part.with_name(f"{part.name}-journal")):
            left.unlink(missing_ok=True)


def _damaged(path: Path) -> DiskFault:
    return DiskFault(
        say("The copy {name} is damaged, or does not hold what it should; use another one.", name=path.name), "backup"
    )


@contextmanager
def _in_words(folder: Path) -> Iterator[None]:
    """What the disk complains of, in a keeper's words."""
    try:
        yield
    except FileExistsError as error:
        raise BadInput(
            say("There is a file of that name in {folder} already; try again in a moment.", folder=folder), "at"
        ) from error
    except OSError as error:
        raise _refusal(folder, error.errno, error.strerror) from error
    except sqlite3.Error as error:
        full = getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL
        raise _refusal(folder, errno.ENOSPC if full else errno.EIO, str(error)) from error


def _refusal(folder: Path, code: int | None, reason: str | None) -> Refused:
    if code in (errno.ENOSPC, errno.EDQUOT):
        return DiskFull(
            say("There is no room in {folder} for a copy of the ledger; make room and try again.", folder=folder), "at"
        )
    if code in (errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOENT, errno.ENOTDIR):
        return ReadOnly(
            say(
                "No copy of the ledger can be written to {folder} ({reason}); allow it, or choose another folder.",
                folder=folder,
                reason=reason,
            ),
            "at",
        )
    return DiskFault(
        say(
            "The copy could not be written to {folder} ({reason}); there is no new backup.",
            folder=folder,
            reason=reason,
        ),
        "at",
    )

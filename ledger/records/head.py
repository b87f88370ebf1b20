"""What this computer last saw of a ledger, kept outside of it, so that a ledger that went back or forked is noticed.

A small file holds the last acts of recording by number, with a fingerprint of the token of each: tokens are random, so
two copies that were both written to differ at the first act after they parted. It holds no word of what was recorded,
and of customers who were erased only number and day, so that an older copy does not bring them back unsaid.
An act may be committed after one with a higher number (on a server), so only acts that were seen are looked for.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import hashlib
import json
import os
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, func, select

from ledger.errors import Refused
from ledger.records.store import Store
from ledger.records.tables import customer, ledger_info, operation
from ledger.wording import say, strung

REMEMBERED = 50
"""How many of the last acts are remembered."""
ERASING = frozenset({"EraseCustomer", "TakeBackFile", "lines"})
"""Kinds of acts after which somebody may be gone; of lines recorded together it is not known which they were."""
_MOST_LISTED = 5
_MOST_READ = 1 << 24
"""Bytes, far more than such a file has."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One act as it was seen."""

    number: int
    mark: str
    """Fingerprint of its token."""
    kind: str
    recorded_at: str


@dataclass(frozen=True, slots=True)
class Erased:
    """A customer who was erased, and is in the ledger again."""

    number: int
    name: str
    erased_on: dt.date


class WentBack(Refused):
    """The ledger no longer holds acts that this computer saw in it: an older copy came back, or two were written to."""

    missing: tuple[Seen, ...]
    """The acts that are gone, as far as they are remembered; oldest first."""


class Head:
    """The file about one ledger.

    Args:
        folder: where such files are kept, outside any ledger's folder.
        place: path or URL of the ledger, fit to show.
    """

    def __init__(self, folder: Path, place: str) -> None:
        name = hashlib.sha256(place.encode("utf-8", "surrogatepass")).hexdigest()[:32]
        self.path = folder / f"seen-{name}.json"
        self._place = place
        self._noted: int | None = None
        """The last act that was noted; `None`: nothing was, since the program started."""
        self._erased: list[list[object]] = []
        """Customers who were erased by then: number and day."""

    def check(self, store: Store) -> None:
        """Compare a ledger with what was last seen of it.

        Raises:
            WentBack: it lacks acts that were seen.
        """
        self._noted = None
        made_at, remembered = self._remembered()
        if not remembered:
            return
        with store.reading() as conn:
            if conn.execute(select(ledger_info.c.made_at)).scalar_one() != made_at:
                # Another ledger stands where that one stood.
                return
            there = _acts(conn, remembered[0].number)
        marks = {one.number: one.mark for one in there}
        missing = tuple(one for one in remembered if marks.get(one.number) != one.mark)
        if missing:
            raise self._went_back(missing, max(marks, default=0), remembered[-1])

    def note(self, store: Store) -> None:
        """Remember a ledger as it is now."""
        with store.reading() as conn:
            made_at = conn.execute(select(ledger_info.c.made_at)).scalar_one()
            acts = _acts(conn, None)
            if store.dialect != "sqlite" or self._may_have_erased(acts):
                c = customer.c
                gone = conn.execute(select(c.id, c.erased_on).where(c.erased_on.is_not(None)))
                self._erased = [[number, day.isoformat()] for number, day in gone]
        self._noted = acts[-1].number if acts else 0
        said = {
            "made_at": made_at,
            "acts": [[one.number, one.mark, one.kind, one.recorded_at] for one in acts],
            "erased": self._erased,
        }
        self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        # In place: a rename over a file waits for the disk at each act (ext4), and a torn memory only forgets.
        content = json.dumps(said).encode()
        handle = os.open(self.path, os.O_CREAT | os.O_RDWR, 0o600)
        try:
            before = os.read(handle, _MOST_READ)
            try:
                _put(handle, content)
            except OSError:
                # What was seen earlier is still true, and has its place on the disk already.
                if before:
                    _put(handle, before)
                else:
                    self.path.unlink(missing_ok=True)
                raise
        finally:
            os.close(handle)

    def _may_have_erased(self, acts: list[Seen]) -> bool:
        """Whether one of the acts since the last may have erased somebody: all customers are looked through only then.

        Not for a server, where an act may be committed after one with a higher number.
        """
        if self._noted is None or self._noted not in {one.number for one in acts}:
            return True
        return any(one.kind in ERASING for one in acts if one.number > self._noted)

    def back_again(self, store: Store) -> tuple[Erased, ...]:
        """The customers this computer saw erased who stand in the ledger by name, as an older copy brings them back."""
        try:
            said = json.loads(self.path.read_text(encoding="utf-8"))
            made_at, days = said["made_at"], {int(one): dt.date.fromisoformat(day) for one, day in said["erased"]}
        except (OSError, ValueError, KeyError, TypeError):
            return ()
        c = customer.c
        with store.reading() as conn:
            if conn.execute(select(ledger_info.c.made_at)).scalar_one() != made_at:
                return ()
            there = conn.execute(select(c.id, c.name).where(c.erased_on.is_(None)).order_by(c.id)).all()
        return tuple(Erased(row.id, row.name, days[row.id]) for row in there if row.id in days)

    def forget(self) -> None:
        """Forget what was seen; where nothing can be forgotten nothing was remembered either."""
        with contextlib.suppress(OSError):
            self.path.unlink(missing_ok=True)

    def _remembered(self) -> tuple[str, list[Seen]]:
        try:
            said = json.loads(self.path.read_text(encoding="utf-8"))
            return said["made_at"], [Seen(*one) for one in said["acts"]]
        except (OSError, ValueError, KeyError, TypeError):
            # Without its memory the program notices nothing, and must not stand in the way.
            return "", []

    def _went_back(self, missing: tuple[Seen, ...], last: int, seen: Seen) -> WentBack:
        acts = strung(
            (say("{act} of {moment}", act=one.kind, moment=one.recorded_at[:16]) for one in missing[:_MOST_LISTED]),
            "; ",
        )
        if len(missing) > _MOST_LISTED:
            acts = say("{acts} and {number} more", acts=acts, number=len(missing) - _MOST_LISTED)
        how = say("an older copy came back") if last < seen.number else say("it was also written to elsewhere")
        refusal = WentBack(
            say(
                "{place} lacks acts that this computer saw in it ({acts}): {how}. Bring the other copy "
                "or a backup back, or say rearledger accept to go on with this one and record what is missing "
                "again.",
                place=self._place,
                acts=acts,
                how=how,
            ),
            "ledger",
            {"missing": len(missing), "last": last, "seen": seen.number},
        )
        refusal.missing = missing
        return refusal


def last_act(conn: Connection) -> int:
    """Number of the last act of recording; 0: nothing was recorded yet."""
    return int(conn.execute(select(func.coalesce(func.max(operation.c.id), 0))).scalar_one())


def _acts(conn: Connection, first: int | None) -> list[Seen]:
    """The last acts, or all from a number on; oldest first."""
    o = operation.c
    wanted = select(o.id, o.token, o.kind, o.recorded_at)
    wanted = wanted.order_by(o.id.desc()).limit(REMEMBERED) if first is None else wanted.where(o.id >= first)
    rows = conn.execute(wanted).all()
    return sorted(
        (Seen(row.id, _mark(row.token), row.kind, row.recorded_at) for row in rows), key=lambda one: one.number
    )


def _put(handle: int, content: bytes) -> None:
    """Write all of a file in place. Raises OSError: only a part of it found room."""
    if os.pwrite(handle, content, 0) < len(content):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    os.ftruncate(handle, len(content))


def _mark(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()[:16]

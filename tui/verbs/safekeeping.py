"""Verbs that keep a ledger safe: backups, bringing one back, going on with another copy, a newer version."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.errors import BadInput, ReadOnly
from ledger.text import count_words, quoted
from tui.verbs import answer
from tui.verbs.parser import Parser, common
from tui.verbs.place import target

if TYPE_CHECKING:
    from ledger.records.backups import Backup
    from ledger.records.head import Erased, Seen


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(
        top.verb(
            "backup",
            "Make a backup of the ledger, verified row by row; list those there are.",
            backup,
            epilog="rearledger backup\nrearledger backup list\nrearledger backup --to /media/stick",
        )
    )
    parser.add_argument("words", metavar="list", nargs="*", help="list the backups, newest first")
    parser.add_argument("--to", metavar="DIR", help="another folder than the one beside the ledger")
    parser = common(
        top.verb(
            "restore",
            "Make a ledger from a backup, where there is none yet or an empty one.",
            restore,
            epilog="rearledger restore newest --at recovered.rearledger",
        )
    )
    parser.add_argument("backup", metavar="NAME|PATH|newest")
    parser.add_argument("--at", metavar="PATH", help="where; else in the ledger's own place")
    common(top.verb("accept", "Go on with the ledger as it is, though this computer saw other acts in it.", accept))
    common(top.verb("upgrade", "Bring the ledger to this program's version, with a backup first.", upgrade))


def backup(args: argparse.Namespace) -> int:
    """Make a backup, or list them."""
    from ledger.ledger import Ledger
    from ledger.records import backups
    from ledger.records.whereabouts import cautions
    from tui.verbs.watch import utc_now

    place = target(args)
    if args.words == ["list"]:
        return _listed(backups.backups(place), args.format)
    if args.words:
        raise BadInput(f"{quoted(' '.join(args.words))} has no place there; write backup, or backup list.", "words")
    backups.folder_of(place)
    with Ledger.open(place, read_only=True) as ledger:
        made = backups.make(ledger.store, "asked", utc_now(), None if args.to is None else Path(args.to))
    if args.format == "json":
        answer.write_json({"file": str(made.path), "acts": made.acts, "digest": made.digest})
        return 0
    acts = count_words(made.acts, "act", "acts")
    answer.say(f"The backup is {made.path}; it holds {acts} of recording and was read back row by row.")
    for caution in cautions(Path(place)):
        answer.say(f"Caution: {caution}")
    return 0


def _listed(rows: tuple[Backup, ...], form: str) -> int:
    columns: tuple[answer.Column[Backup], ...] = (
        answer.Column("made_at", lambda row: row.made_at.strftime("%Y-%m-%dT%H:%M:%SZ"), "made at"),
        answer.Column("why", lambda row: row.why),
        answer.Column("acts", lambda row: row.acts, figure=True),
        answer.Column("backup", lambda row: row.path.name),
    )
    answer.write_rows(rows, columns, form, none="There is no backup yet.", hint="Make one with: rearledger backup")
    return 0


def restore(args: argparse.Namespace) -> int:
    """Make a ledger from a backup."""
    from ledger.records import backups
    from ledger.records.store import open_store
    from tui.verbs.watch import head_of

    place = args.at or target(args)
    damaged: list[str] = []
    if args.backup == "newest":
        newest, passed_over = backups.newest_sound(target(args))
        chosen, damaged = newest.path, [one.path.name for one in passed_over]
    else:
        chosen = backups.find(target(args), args.backup)
    found = backups.restore(chosen, place)
    store = open_store(place, read_only=True, older=True)
    again = head_of(target(args)).back_again(store)
    store.close()
    head_of(place).forget()
    if args.format == "json":
        answer.write_json(
            {
                "ledger": place,
                "backup": str(chosen),
                "rows": found.rows,
                "digest": found.digest,
                "damaged": list(damaged),
                "erased_again": _as_json(again),
            }
        )
        return 0
    for name in damaged:
        answer.say(f"Caution: {name} is damaged, so the backup before it was taken.")
    answer.say(f"{place} was made from {chosen.name}: {found.rows} rows, the same as when it was made.")
    answer.say("Whoever was erased from the customers since then is in it again; erase them once more.")
    _say_again(again)
    return 0


def _say_again(again: tuple[Erased, ...]) -> None:
    """Name whoever an older copy brought back, with what erases them."""
    for one in again:
        answer.say(
            f"{one.name} was erased on {answer.day(one.erased_on)} and is in it again: "
            f"rearledger customer erase {shlex.quote(one.name)} --really"
        )


def _as_json(again: tuple[Erased, ...]) -> list[answer.Json]:
    return [{"customer": one.number, "name": one.name, "erased_on": one.erased_on.isoformat()} for one in again]


def accept(args: argparse.Namespace) -> int:
    """Take the ledger as it is for the one to go on with."""
    from ledger.ledger import Ledger
    from ledger.records.head import WentBack
    from tui.verbs.watch import head_of

    missing: tuple[Seen, ...] = ()
    with Ledger.open(target(args), read_only=True) as ledger:
        head = head_of(ledger.store.target)
        try:
            head.check(ledger.store)
        except WentBack as refused:
            missing = refused.missing
        again = head.back_again(ledger.store)
        try:
            head.note(ledger.store)
        except OSError as error:
            raise ReadOnly(
                f"What this computer saw cannot be written down in {head.path.parent} ({error.strerror}); "
                "allow it, and try again.",
                "ledger",
            ) from error
    if args.format == "json":
        rows: list[answer.Json] = [
            {"act": one.number, "kind": one.kind, "recorded_at": one.recorded_at} for one in missing
        ]
        answer.write_json({"missing": rows, "erased_again": _as_json(again)})
        return 0
    if not missing:
        answer.say("The ledger holds everything this computer saw in it; there was nothing to accept.")
        return 0
    acts = count_words(len(missing), "act", "acts")
    answer.say(f"From now on this is the ledger. It lacks {acts}, which may have to be recorded again:")
    for one in missing:
        answer.say(f"  {one.number}  {one.recorded_at}  {one.kind}")
    _say_again(again)
    return 0


def upgrade(args: argparse.Namespace) -> int:
    """Bring the ledger to this program's version."""
    from ledger.records.upgrading import bring_up
    from tui.verbs.watch import utc_now

    done = bring_up(target(args), utc_now())
    if args.format == "json":
        kept = None if done.backup is None else str(done.backup.path)
        answer.write_json({"before": done.before, "after": done.after, "backup": kept})
        return 0
    if done.before == done.after:
        answer.say(f"The ledger is of version {done.after} already.")
        return 0
    answer.say(f"The ledger was brought from version {done.before} to {done.after}.")
    if done.backup is not None:
        answer.say(f"As it was it is in {done.backup.path}.")
    return 0

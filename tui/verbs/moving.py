"""Verbs that take a whole ledger elsewhere: an archive, opening one, moving to a server, letting a role in there."""

from __future__ import annotations

import argparse
from pathlib import Path

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer
from tui.verbs.parser import Parser, common, with_format
from tui.verbs.place import target, to_read


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(
        top.verb(
            "archive",
            "Write the whole ledger as plain tables with their description, in one zip.",
            archive,
            epilog="rearledger archive loft-2025.zip",
        )
    )
    parser.add_argument("file", metavar="FILE")
    parser = with_format(
        top.verb(
            "open-archive",
            "Make a ledger from an archive, equal to the one it was written from.",
            open_archive,
            epilog="rearledger open-archive loft-2025.zip --at loft.rearledger",
        )
    )
    parser.add_argument("file", metavar="FILE")
    parser.add_argument(
        "--at", metavar="PATH|URL", required=True, help="a path with nothing there, or an empty database"
    )
    parser = common(
        top.verb(
            "move-to",
            "Copy the ledger to a database server, every row of it, and compare.",
            move_to,
            epilog="rearledger move-to postgresql+psycopg://owner@server/loft",
        )
    )
    parser.add_argument("to", metavar="URL|PATH", help="an empty database, or a path with nothing there")
    parser = common(
        top.verb(
            "let-in",
            "Let a role of the database server use the ledger, and do nothing else; run by its owner.",
            let_in,
            epilog="rearledger let-in keeper --ledger postgresql+psycopg://owner@server/loft",
        )
    )
    parser.add_argument("role", metavar="ROLE")


def archive(args: argparse.Namespace) -> int:
    """Write an archive."""
    from exports.archive.write import write_archive

    with to_read(args) as ledger:
        written = write_archive(ledger.store, Path(args.file))
    if args.format == "json":
        answer.write_json({"file": str(written)})
        return 0
    answer.say(f"The archive is {written}; it holds the names of customers, so keep it as carefully as the ledger.")
    return 0


def open_archive(args: argparse.Namespace) -> int:
    """Make a ledger from an archive, and say whether it adds up."""
    from exports.archive.read import open_archive as opened
    from ledger.ledger import Ledger
    from tui.verbs.watch import head_of

    store = opened(Path(args.file), args.at)
    with Ledger(store) as ledger:
        head_of(args.at).forget()
        findings = ledger.prove()
    if args.format == "json":
        answer.write_json({"ledger": store.place, "does_not_add_up": [one.sentence for one in findings]})
        return 0
    answer.say(f"{store.place} was made from {args.file}, every row as it was.")
    if findings:
        things = "1 thing does" if len(findings) == 1 else f"{len(findings)} things do"
        answer.say(f"Caution: {things} not add up in it, as before; see rearledger prove.")
    return 0


def move_to(args: argparse.Namespace) -> int:
    """Copy the ledger elsewhere."""
    from ledger.records.engines import is_server
    from ledger.records.store import place_of
    from ledger.records.transfer import move_to as moved
    from tui.verbs.watch import head_of

    _check_to(args.to)
    with to_read(args) as ledger:
        found = moved(ledger.store, args.to)
    head_of(args.to).forget()
    place = place_of(args.to) if is_server(args.to) else str(Path(args.to).absolute())
    if args.format == "json":
        answer.write_json({"ledger": place, "rows": found.rows, "digest": found.digest})
        return 0
    answer.say(f"{place} holds all {found.rows} rows, compared one by one.")
    answer.say(f"Use it from now on: REARLEDGER_LEDGER={place}. The ledger it came from stays as it was; put it away.")
    return 0


def _check_to(to: str) -> None:
    """Refuse a bare word: who typed half of an address would find a file of that name.

    Raises:
        BadInput: it is neither an address nor a path that looks like one.
    """
    from ledger.records.engines import is_server

    if not is_server(to) and Path(to).name == to and not Path(to).suffix:
        raise BadInput(
            f"{quoted(to)} is no address of a server, and a file would be named like {to}.rearledger; say which it is: "
            "postgresql+psycopg://owner@server/loft, or a name with its ending.",
            field="to",
        )


def let_in(args: argparse.Namespace) -> int:
    """Let a role in."""
    from ledger.ledger import Ledger
    from ledger.records.roles import let_in as let

    with Ledger.open(target(args)) as ledger:
        made = let(ledger.store, args.role)
    if args.format == "json":
        answer.write_json({"role": args.role, "made": made})
        return 0
    answer.say(f"{args.role} may read the ledger, record in it, and nothing else.")
    if made:
        answer.say(f"The role is new and has no password: set one in psql with \\password {args.role}.")
    return 0

"""Verbs about the ledger itself: make one, open the demo, its settings; and the screen, which needs no verb."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from pathlib import Path

from ledger.errors import BadInput, NotALedger, Refused
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common
from tui.verbs.place import data_folder, state_folder, target, to_read, to_write
from tui.verbs.watching import how_far

DEMO = "quillmere.rearledger"


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(
        top.verb("new", "Make a new ledger.", new, epilog='rearledger new --currency EUR --name "Quillmere Loft"')
    )
    parser.add_argument("--currency", metavar="CODE", required=True, help="three letters of ISO 4217; never changes")
    parser.add_argument("--name", metavar="WORDS", default="", help="of the business")
    parser.add_argument(
        "--year-start",
        metavar="DAY",
        default="1 January",
        help="day its years begin on, such as '6 April'; never changes",
    )
    parser.add_argument("--at", metavar="PATH|URL", help="where; the same as --ledger")
    parser = top.verb("demo", "Make the example business, all of it invented, and open it.", demo)
    parser.add_argument("--at", metavar="PATH", help="where; else in your data folder, where it is made once")
    parser.add_argument("--no-screen", action="store_true", help="only make it")
    parser = common(top.verb("setting", "Show the settings, or set one.", setting))
    parser.add_argument("words", metavar="NAME VALUE", nargs="*")


def new(args: argparse.Namespace) -> int:
    """Make a ledger."""
    from ledger.ledger import Ledger

    if args.at is not None and getattr(args, "ledger", args.at) != args.at:
        raise BadInput("--at and --ledger name two places; keep one of them.", field="ledger")
    place = args.at or target(args)
    start = typed.day_of_year(args.year_start, "year_start")
    with Ledger.create(place, currency=args.currency, name=args.name, year_start=start) as ledger:
        made, currency = ledger.store.place, ledger.currency
    if args.format == "json":
        answer.write_json({"ledger": made, "currency": currency.code, "name": args.name})
        return 0
    answer.say(f"A new ledger in {currency.code} is at {made}.")
    if sys.stdout.isatty():
        answer.say("Next: rearledger species templates, then rearledger species add CODE --template KEY.")
    return 0


def demo(args: argparse.Namespace) -> int:
    """Make the example business and open it."""
    path = Path(args.at) if args.at is not None else data_folder() / DEMO
    if args.at is not None or not path.exists():
        _build(path)
        answer.say(f"The example business is at {path}.")
    if args.no_screen:
        return 0
    return _show(str(path))


def _build(path: Path) -> None:
    """Make the demo beside its place and move it there when it is whole, so that half of one is never opened."""
    from demo.build import build_demo

    if os.path.lexists(path):
        raise BadInput(f"There is something at {path} already; choose another place with --at.", "at", {"path": path})
    part = path.with_name(f"{path.name}.part")
    leavings = (part, part.with_name(f"{part.name}-journal"))
    for left in leavings:
        left.unlink(missing_ok=True)
    try:
        build_demo(str(part), how_far("Making the example business"))
        part.rename(path)
    finally:
        for left in leavings:
            left.unlink(missing_ok=True)


def setting(args: argparse.Namespace) -> int:
    """Show the settings, or set one."""
    from ledger.records.commands import SetSetting
    from ledger.records.settings import SETTINGS, settings

    if args.words:
        text = " ".join(args.words)
        name = next((one for one in sorted(SETTINGS, key=len, reverse=True) if f"{text} ".startswith(f"{one} ")), None)
        command = SetSetting(name or text, text[len(name or text) :].strip())
        with to_write(args) as ledger:
            return answer.done(ledger.do(command), args.format)
    with to_read(args) as ledger:
        rows = list(ledger.ask(settings).items())
    columns: tuple[answer.Column[tuple[str, str]], ...] = (
        answer.Column("setting", lambda row: row[0]),
        answer.Column("value", lambda row: row[1]),
    )
    answer.write_rows(rows, columns, args.format, none="There are no settings.")
    return 0


def screen(args: argparse.Namespace) -> int:
    """Open the screen on the ledger that is meant; where there is none yet, a person is asked what to do."""
    from ledger.records.engines import is_server

    place = target(args)
    watched = sys.stdin.isatty() and sys.stdout.isatty()
    if watched and not is_server(place) and not os.path.lexists(place):
        from tui.verbs.first_run import LOOK, Talk, first_run

        wide = shutil.get_terminal_size().columns
        wanted = first_run(place, Talk(input, lambda line: answer.say_wrapped(line, wide)))
        if wanted == LOOK:
            args.at, args.no_screen = None, False
            return demo(args)
        if not wanted:
            return 0
    return _show(place)


def _show(place: str) -> int:
    from ledger.records.engines import is_server

    if not is_server(place) and not os.path.lexists(place):
        raise NotALedger(
            f"There is no ledger at {place} yet: make one with “rearledger new --currency EUR”, "
            "or look around the example business with “rearledger demo”.",
            "ledger",
            {"path": place},
        )
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise Refused("The screen needs a terminal; name a verb to work without one, see rearledger --help.")
    from tui.start import hurry
    from tui.verbs.watch import chores, open_to_write

    hurry()
    with open_to_write(place) as ledger:
        from ledger.records.settings import settings
        from tui.app import Desk
        from tui.drafts import Drafts, drafts_path
        from tui.places import PLACES
        from tui.tongue import listen_to, speak

        folder = state_folder()
        drafts = Drafts(drafts_path(folder, ledger.store.place))
        order = typed.order(ledger)
        speak(listen_to(ledger.ask(settings)))
        todo = chores(ledger)
        desk = Desk(ledger, PLACES, ledger.vocabulary, drafts=drafts, reports=folder, order=order, chores=todo)
        desk.run()
        return desk.return_code or 0

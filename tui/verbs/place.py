"""Which ledger a verb works on, and opening it.

The path comes from `--ledger`, else from REARLEDGER_LEDGER, else it is the one file in the user's data folder.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.ledger import Ledger

VARIABLE = "REARLEDGER_LEDGER"
PROGRAM = "rearledger"


def data_folder() -> Path:
    """The folder for the keeper's own files."""
    from platformdirs import user_data_path

    return user_data_path(PROGRAM, appauthor=False)


def state_folder() -> Path:
    """The folder for drafts and reports of faults."""
    from platformdirs import user_state_path

    return user_state_path(PROGRAM, appauthor=False)


def usual_ledger() -> str:
    """The ledger that is meant when none is named."""
    return os.environ.get(VARIABLE) or str(data_folder() / "my.rearledger")


def target(args: argparse.Namespace) -> str:
    """Path or URL of the ledger that is meant."""
    named: str | None = getattr(args, "ledger", None)
    return named or usual_ledger()


def to_read(args: argparse.Namespace) -> Ledger:
    """Open the ledger for reading only.

    Raises:
        NotALedger, NewerLedger, Busy: it cannot be read, and why.
    """
    from ledger.ledger import Ledger

    return Ledger.open(target(args), read_only=True)


def to_write(args: argparse.Namespace) -> Ledger:
    """Open the ledger for recording, watched over and backed up once a day.

    Raises:
        NotALedger, NewerLedger, Busy: it cannot be used, and why.
        WentBack: it is not as this computer last saw it.
    """
    from tui.verbs.watch import back_up_daily, open_to_write

    ledger = open_to_write(target(args))
    back_up_daily(ledger)
    return ledger

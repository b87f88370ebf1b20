"""What a keeper answered about sheets (columns, species, categories), kept on this computer as soon as it was said.

It outlives taking a file back and bringing a backup back. The ledger itself remembers the columns of files that were
recorded; this is what was answered before anything was.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from typing import TYPE_CHECKING

from tui.drafts import Drafts

if TYPE_CHECKING:
    from exports.bring_in.answers import Answers
    from exports.bring_in.finding import Wishes

NAME = "sheets"
"""What the file is called, beside that of the drafts."""


def earlier(kept: Drafts, kind: str) -> Answers:
    """What was answered about files of a kind."""
    from exports.bring_in.answers import Answers
    from exports.bring_in.kinds import kind_of

    names = {one.name for one in kind_of(kind).fields}
    columns = {heading: name for heading, name in kept.get(f"columns {kind}").items() if name in names or name == "-"}
    return Answers(columns, kept.get("species"), kept.get("categories"))


def remember(kept: Drafts, kind: str, wishes: Wishes) -> None:
    """Keep what was answered; a later answer about the same word takes the place of the earlier."""
    from exports.bring_in.kinds import kind_of, plain

    with contextlib.suppress(OSError):
        of_kind = kind_of(kind)
        columns = {
            plain(heading): name if name == "-" else of_kind.field(name).name
            for heading, name in wishes.columns.items()
        }
        _add(kept, f"columns {kind}", columns)
        _add(kept, "species", wishes.species)
        _add(kept, "categories", wishes.kinds)


def _add(kept: Drafts, name: str, said: Mapping[str, str]) -> None:
    if said:
        kept.keep(name, {**kept.get(name), **said})

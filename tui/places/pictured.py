"""Screens whose picture is saved as a file by one key, beside those saved before and never over them."""

from __future__ import annotations

from typing import TypeVar

from ledger.errors import Refused
from ledger.text import safe_name
from ledger.wording import say
from tui.actions import Act
from tui.drawn import Picture, whence
from tui.frame import Framed
from tui.look import short
from tui.widgets.foot import Answer

R = TypeVar("R")
TIP = say("Save the picture as SVG in the folder you started from; an older one is never written over.")
PICTURE = Act("save_picture", "ctrl+o", say("save picture"), TIP)
PICTURE_FROM_FIELD = Act("save_picture", "ctrl+o", say("save picture"), TIP, in_fields=True)


class Pictured(Framed[R]):
    """A screen that draws a picture."""

    picture: Picture | None = None
    """What it draws now; None while there is nothing."""

    def action_save_picture(self) -> None:
        """Write the picture into the folder of papers."""
        from exports.files import write_revision
        from tui.drawn_svg import svg

        if self.picture is None or not self.picture.parts:
            self.desk.say(Answer(say("There is nothing drawn here yet, so nothing was saved."), "refused"))
            return
        ledger = self.desk.ledger
        origin = whence(ledger.name, short(ledger.today, self.desk.order), ledger.currency.code)
        drawn = svg(self.picture, origin).encode("utf-8")
        try:
            path = write_revision(self.desk.papers, safe_name(self.picture.title), ".svg", lambda number: drawn)
        except Refused as refusal:
            self.desk.say(Answer(refusal.sentence, "refused"))
        else:
            self.desk.say(Answer(say("The picture is {path}", path=str(path)), "done"))

"""What can be done in the Round, and the keys that go from row to row; the marks begin like their words."""

from __future__ import annotations

from ledger.wording import say
from tui.actions import Act

ALL = 1_000_000
"""More rows than there are."""
MOVES = {
    "up": -1,
    "down": 1,
    "pageup": -10,
    "pagedown": 10,
    "home": -ALL,
    "end": ALL,
    "ctrl+home": -ALL,
    "ctrl+end": ALL,
}
"""Keys that go to another row, and how many rows on."""
TAPPED = (
    Act("died", "d", say("died"), say("Mark one more as dead; a number after it says how many."), shown=False),
    Act(
        "moved_on",
        "m",
        say("moved on"),
        say("Mark all as moved on to the next stage; a number after it says how many."),
        shown=False,
    ),
    Act(
        "fed",
        "f",
        say("fed"),
        say("Mark the tub as fed and seen, or no longer; v after it: fed unseen."),
        shown=False,
    ),
    Act("seen", "v", say("seen"), say("Mark the tub as seen, or no longer."), shown=False),
    Act("counted", "c", say("count"), say("Mark a count: type the number after it."), shown=False),
    Act(
        "how_many",
        "equals_sign",
        say("how many"),
        say("Type how many died, moved on (2.1 says their sexes) or were counted."),
        shown=False,
    ),
    Act("clear", "backspace", say("clear"), say("Clear the marks of this tub."), shown=False),
    Act(
        "as_usual",
        "asterisk",
        say("rest as usual"),
        say("Mark every due tub without a mark as fed and seen; eggs as seen."),
        shown=False,
    ),
    Act(
        "whole_shelf",
        "ctrl+w",
        say("whole shelf"),
        say(
            "Mark every tub of this shelf, due or not, as fed and seen, beside what is marked there already; "
            "pressed again, those of all shelves."
        ),
        shown=False,
    ),
    Act(
        "find",
        "ctrl+x",
        say("find"),
        say("Narrow the list: type a part of what you look for."),
        shown=False,
    ),
    Act(
        "look_over",
        "enter",
        say("look over"),
        say("Read the whole round in words, and save it from there."),
        shown=False,
    ),
)
"""What stands below the list, to be tapped as well."""
OTHERS = (
    Act("whole_list", "escape", say("whole list"), say("Show the whole list again."), shown=False, in_fields=True),
    Act(
        "due_only",
        "exclamation_mark",
        say("due only"),
        say("Show only what is due or marked, or all."),
        shown=False,
    ),
    Act("lot", "l", say("lot"), say("Open the lot of the row."), shown=False),
    Act("afresh", "ctrl+r", say("start afresh"), say("Clear every mark of the round."), shown=False),
)

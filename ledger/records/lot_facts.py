"""What may be said of a lot with a date: the one list that the table, the rules and the verbs share."""

from __future__ import annotations

LOT_FACTS = (
    *("purpose", "place", "colony", "containers", "lent out", "brood ends", "brood weight", "note", "rests until"),
    *("mark", "treatment"),
)
"""The order in which help names them. The database takes no other: a new one needs a migration."""

PURPOSES = ("sale", "breeding", "quarantine")
"""What a lot may be for."""

"""Ways in which animals are sold and paid for, as the jot line, commands and forms take them."""

from __future__ import annotations

CHANNELS = ("post", "fair", "collection", "trade", "other")
METHODS = ("cash", "transfer", "card")

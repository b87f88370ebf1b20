"""Papers to hand on, as PDF and as text, in the language asked for: of a sale, of a lot, of the animals of a period."""

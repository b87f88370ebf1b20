"""The forms of the screen, one class for each command or two of the ledger; they hold no rule of the books."""

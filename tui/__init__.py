"""The screen and the command line: they read what a person types, ask or tell the ledger, and show the answer."""

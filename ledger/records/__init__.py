"""Records: the tables of a ledger and everything about databases. No rule of rearing, selling or costing lives here."""

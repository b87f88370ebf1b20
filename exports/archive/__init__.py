"""The archive: a whole ledger as plain tables with their description, readable without this program, and back again."""

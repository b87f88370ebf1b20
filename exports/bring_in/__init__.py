"""Bringing records in from a keeper's own sheets: looked at first, recorded whole or not at all, and back again."""

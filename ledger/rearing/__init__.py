"""Rearing: survival of lots from their counts, stage times, what one reared adult costs, and what is coming on."""

"""Costs: what is spent, how it is shared out among the animals, and what each one has cost."""

"""Why a figure is what it is: its parts, two lots side by side, and where one cost went."""

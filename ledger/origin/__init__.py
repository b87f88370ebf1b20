"""What may truthfully be said of where animals come from, why, and how far back the records reach."""

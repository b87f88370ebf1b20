"""What is alive: species and stages, lots, entries and movements, holdings."""

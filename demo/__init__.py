"""The invented business Quillmere Loft: two years of a heated loft, made through the same services as the screens."""

"""Tree → Pattern: sizes, terms, definitions, notes and row references resolved."""

"""Size lists and size-only lines."""

"""Row labels, ranges and references."""

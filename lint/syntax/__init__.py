"""Text → tree: layout, row labels, and the grammar of a row statement."""

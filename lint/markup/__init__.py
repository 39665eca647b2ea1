"""Marking up: a manuscript goes back to its author with every finding noted at the words it is about."""

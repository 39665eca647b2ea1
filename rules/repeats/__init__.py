"""Repeats and groups as written: marks, brackets, and what they can mean."""

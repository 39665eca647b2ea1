"""Hooks, yarns, units, gauge and notions."""

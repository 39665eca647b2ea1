"""Manuscript → findings. Knows no rule and no editor."""

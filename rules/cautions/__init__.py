"""Cautions a house usually prints; never a judgement."""

"""Pattern → Work: every row worked on its base, side and placement, per size."""

"""A piece of work → a picture of it, stitch by stitch, as seen from the right side, and the same in words."""

"""Planted slips: one realistic slip at a time in sound manuscripts, and whether it is found where it stands.

    python -m tests.slips PATH...

is run at the top of the repository on any folder of sound manuscripts; ``--help`` says the rest. ``planting`` makes the
slips, ``meaning`` decides whether one changes what the text means, ``harness`` counts.
"""

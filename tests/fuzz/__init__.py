"""Fuzzing: bytes that nobody would write, given to everything that reads.

    python -m tests.fuzz [--seconds N] [TARGET...]

is run at the top of the repository and wants the extra ``fuzz``. ``targets`` says what is read and what has to hold
of it; what once failed is kept in ``kept/`` and read again in every run of the tests.
"""

"""Mutation testing: one small change to the program at a time, and whether a test notices.

    python -m tests.mutation [--changes N] [--seed N] [TARGET...]

is run at the top of the repository and wants the extra ``mutation``. It works on a copy, so the checkout is left alone.
"""

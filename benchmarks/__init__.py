"""How long things take, on any machine: every figure also as a ratio to a plain Python loop timed in the same run."""

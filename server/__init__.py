"""The language server: asks lint, decides nothing."""

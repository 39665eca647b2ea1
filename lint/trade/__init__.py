"""The trade's published facts: TOML with a source beside every entry, and typed access to it."""

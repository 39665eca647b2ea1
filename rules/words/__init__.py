"""Terms, abbreviations and spellings."""

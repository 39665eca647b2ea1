"""Files → Text, each character traceable to where it came from."""

"""Work and findings → what a person or a program reads."""

"""Published figures carried with the program: one CSV a table."""

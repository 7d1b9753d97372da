"""Old cards from a CSV file: read_cards (bytes to rows), store_cards (rows into the book)."""

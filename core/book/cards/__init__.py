"""Paper cards of the years before the book, and their own search index."""

"""All data of the book for other programs: a file a table, described in an open format."""

"""The tables of the job book, in numbered steps."""

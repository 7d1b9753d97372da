"""The practice shaft: the app on a temporary book, with one line of advice at a time."""

"""Shared by all rooms: units, errors, records, times, harmless text. Standard library only."""

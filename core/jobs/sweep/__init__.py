"""Sweeps at the bench: where entry goes on, what is stored, the readings that are in force."""

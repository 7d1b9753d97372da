"""Shaft ends, parts to offer, sizes, wear."""

"""Figures typed at the bench, and reports on them."""

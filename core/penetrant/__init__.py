"""Penetrant check: where to look and how long each stage takes."""

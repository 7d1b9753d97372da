"""Fixtures and helpers shared by the tests and the benchmark programs."""

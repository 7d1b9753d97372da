"""Shaftlog's computing core: readings in, shape, bends, hits and verdicts out. No screen code."""

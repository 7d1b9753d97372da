"""Tests of bends."""

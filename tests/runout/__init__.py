"""Tests of runout."""

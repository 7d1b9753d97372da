"""Tests of background."""

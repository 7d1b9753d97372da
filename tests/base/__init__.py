"""Tests of base."""

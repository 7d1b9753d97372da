"""Tests of widgets."""

"""Tests of analysis."""

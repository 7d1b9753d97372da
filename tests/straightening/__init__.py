"""Tests of straightening."""

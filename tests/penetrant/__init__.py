"""Tests of penetrant."""

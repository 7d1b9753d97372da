"""Deletion of a customer's personal data."""

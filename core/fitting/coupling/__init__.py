"""Coupling bore, face and pilot."""

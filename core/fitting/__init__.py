"""Coupling, key and shaft ends: what measured figures say."""

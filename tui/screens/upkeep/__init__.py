"""Screens of the room 'upkeep'."""

"""Screens of the room 'repair'."""

"""Screens of the room 'release'."""

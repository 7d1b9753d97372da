"""Screens of the room 'straightening'."""

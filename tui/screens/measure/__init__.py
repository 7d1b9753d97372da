"""Screens of the room 'measure'."""

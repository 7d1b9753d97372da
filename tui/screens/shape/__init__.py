"""Screens of the room 'shape'."""

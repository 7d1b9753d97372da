"""Screens of the room 'sweep'."""

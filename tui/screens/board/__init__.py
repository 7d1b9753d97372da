"""Screens of the room 'board'."""

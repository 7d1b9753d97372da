"""Screens of the room 'penetrant'."""

"""Screens of the room 'intake'."""

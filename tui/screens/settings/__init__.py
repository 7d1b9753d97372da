"""Screens of the room 'settings'."""

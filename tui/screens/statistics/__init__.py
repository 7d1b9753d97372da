"""Screens of the room 'statistics'."""

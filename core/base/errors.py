"""The few errors of the core. Each message says in plain words what is wrong and what to do."""

from __future__ import annotations


class ShaftlogError(ValueError):
    """Anything the person at the bench can put right; the message is fit to be shown as it is."""


class Stopped(ShaftlogError):
    """Long work was stopped by the person; what it had done so far is taken back."""


class BadNumber(ShaftlogError):
    """A typed text that is no number, or one that could be read in two ways."""


class BadTime(ShaftlogError):
    """A stored moment that is none."""


class BadReadings(ShaftlogError):
    """Readings that cannot be worked out: too few marks, all blocked, impossible values."""


class BadShaft(ShaftlogError):
    """Stations, rollers or areas that cannot be: same place, outside the shaft, out of order."""

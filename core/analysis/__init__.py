"""One call from a sweep to all that can be said of it, and the view from other supports."""

"""Base of all screens, and boxes and pages that all of them use."""

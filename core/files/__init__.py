"""Text that comes in from files and goes out to them, made harmless both ways."""

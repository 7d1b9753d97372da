"""Keys and keyways."""

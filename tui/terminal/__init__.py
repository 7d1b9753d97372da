"""Everything that touches the terminal or private parts of the framework."""

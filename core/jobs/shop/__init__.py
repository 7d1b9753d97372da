"""The settings of a shop: what each changes, and which values are out of the usual."""

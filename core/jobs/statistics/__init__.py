"""What many jobs of the shop say together."""

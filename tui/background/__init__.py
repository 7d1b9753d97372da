"""What runs beside the screens: poller, penetrant clock, daily backup, recovery."""

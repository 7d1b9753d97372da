"""What every screen, widget and background service knows: commands, keys and the context."""

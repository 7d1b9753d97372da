"""Shop figures: what many jobs say together. Pure; each module says how it measures."""

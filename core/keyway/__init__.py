"""Parts of the key work: standard sizes, measured parts, fit, strength, peening."""

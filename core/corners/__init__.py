"""The search for the bends of a shaft line: shapes, fit, number, intervals, regions."""

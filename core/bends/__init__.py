"""From a shaft line to its bends: number, stations, vectors, intervals."""

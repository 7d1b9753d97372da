"""From the readings at one station to its centre: model, noise, intervals, slips; whole sweeps."""

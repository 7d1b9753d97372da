"""Beside the plan of hits: their choice, the line after them, response, heat, forecast."""

"""Next hits, what a check after them says, response, press, heat, forecast, repair or replace."""

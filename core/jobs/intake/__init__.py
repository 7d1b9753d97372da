"""A shaft comes in: the first start of a shop, a shaft that was never here."""

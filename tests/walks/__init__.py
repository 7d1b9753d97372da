"""A simulated machinist works the real screens by keys alone; see `tests.walks.run`.

After each act the thing named on the screen before the key is the thing that changed in the book,
and nothing else changed. Seeded: a walk is told by its seed alone.
"""

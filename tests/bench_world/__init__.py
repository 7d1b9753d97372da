"""The second world of tests/bench/world, checked by hand calculation."""

"""From the figures of one job to what can be said of its coupling, key, shaft end and sizes."""

"""Search over all jobs."""

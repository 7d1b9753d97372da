"""A sweep from a CSV file into a job."""

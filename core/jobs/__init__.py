"""The use cases of a job: the one floor that joins the book and the computing."""

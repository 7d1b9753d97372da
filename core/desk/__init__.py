"""From the job book to the computations of one job: what a screen or the ticket asks for."""

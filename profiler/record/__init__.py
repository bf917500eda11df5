"""What was really weighed and measured of the pots of one design, and what it teaches for the next ones."""

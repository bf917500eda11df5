"""Clay bodies: the states of a pot, their size, water and weight."""

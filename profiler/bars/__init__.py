"""Test bars: what a clay really does, from lengths and weights of bars dried and fired beside the pots."""

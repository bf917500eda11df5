"""A set: so many of each design, weighed out, matched, stacked and fired together."""

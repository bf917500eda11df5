"""Every tolerance of the geometry, with its reason."""

JOIN_MM = 1e-7
"""Ends of two curves this close are one point: a thousand times rounding, far under any gauge."""

FIT_MM = 0.002
"""How far a fitted offset may lie from the true one. DESIGN allows 0.005; a printed edge is good to 0.1."""

ARC_RADIANS = 1.6
"""The widest turn drawn as one cubic: a quarter turn is 2.7e-4 of the radius off the circle."""

STRAIGHT_RADIANS = 0.02
"""Two directions this close (about one degree) meet without a corner worth rounding."""

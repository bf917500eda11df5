"""Every tolerance of the geometry, with its reason."""

JOIN_MM = 1e-7
"""Ends of two curves this close are one point: a thousand times rounding, far under any gauge."""

FIT_SHARE = 2.5e-5
"""How far a fitted offset may lie from the true one, as a share of the distance: 0.0001 mm for a wall of 4 mm.

A share, so that a piece sized in another state is made of the very same curves, only scaled.
"""

ARC_RADIANS = 1.6
"""The widest turn drawn as one cubic: a quarter turn is 2.7e-4 of the radius off the circle."""

STRAIGHT_RADIANS = 0.02
"""Two directions this close (about one degree) meet without a corner worth rounding."""

"""Chains of cubic Béziers in (r, z), millimetres: curves, closed sections, offsets, roundings.

Nothing here knows a pottery word. r is the distance from the axis, z is up.
"""

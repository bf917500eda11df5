"""Sizing backwards: what a pot should take, weigh or fit, and the one size, or the whole form, that makes it so.

A function of one number over the whole path from the design to its measures; there is no second path.
"""

"""How pots stand in each other: the rise from one to the next, where they touch, how high a stack is."""

from .nest import Nest, Touch, nest, stack_height_mm
from .remark import of_nest

__all__ = ["Nest", "Touch", "nest", "of_nest", "stack_height_mm"]

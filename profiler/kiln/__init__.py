"""How pots go into the kiln: how many stand on a shelf and where, and a whole set on few shelves."""

from .load import Load, Place, Shelf, loaded
from .one_kind import fits, per_shelf
from .plan_sheet import write_kiln_plan
from .table import KilnTable
from .ware import Firing, Ware, ware_of

__all__ = [
    "Firing",
    "KilnTable",
    "Load",
    "Place",
    "Shelf",
    "Ware",
    "fits",
    "loaded",
    "per_shelf",
    "ware_of",
    "write_kiln_plan",
]

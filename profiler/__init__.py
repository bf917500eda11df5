"""Profile gauges, ribs and cut templates for throwing and trimming pots."""

__version__ = "0.1.0"

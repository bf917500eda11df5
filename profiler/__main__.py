"""`python -m profiler`."""

from .cli import main

main()

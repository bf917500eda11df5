"""What a job of the modeller can fail with; runs in the kernel's process only."""


class UnusableError(Exception):
    """An outline or a solid that cannot be used; its text goes into the answer."""

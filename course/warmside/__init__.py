"""Warmside: the physics, the exercises and the marking behind the course."""

__version__ = "0.1.0"

BEING_MARKED = "WARMSIDE_BEING_MARKED"
"""Environment variable that is set in kernels that run a hand-in to be marked."""

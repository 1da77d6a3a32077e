"""Warmside: the physics, the exercises and the marking behind the course."""

__version__ = "0.1.0"

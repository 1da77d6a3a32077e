"""Figures, labs and their alt texts."""

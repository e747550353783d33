"""Cooling rooms of the model."""

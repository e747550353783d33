"""Fuel rooms of the model."""

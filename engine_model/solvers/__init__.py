"""Solvers rooms of the model."""

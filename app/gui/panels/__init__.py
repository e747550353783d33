"""Panels of the bench."""

"""Limits: one function each, arrays in, shares used out."""

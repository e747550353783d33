"""Panels of the Trace place: pure views; setters never emit, what the user does is a signal."""

"""Places: one folder a work area."""

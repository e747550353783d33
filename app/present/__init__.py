"""From results to words, rows and series in display units; no Qt."""

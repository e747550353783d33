"""The window of the bench."""

"""Small widgets: one field, one file."""

"""Drive rooms of the model."""

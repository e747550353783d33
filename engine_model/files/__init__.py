"""Files rooms of the model."""

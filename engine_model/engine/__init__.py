"""Engine rooms of the model."""

"""The compressor: traced data, the fitted surface, regions, work."""

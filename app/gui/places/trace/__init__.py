"""The Trace place: a picture of a compressor map becomes a map."""

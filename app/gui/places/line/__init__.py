"""The Line place: the operating line over the compressor map."""

"""From a picture of a compressor map to its curves: axes, clean ink, curves that follow it."""

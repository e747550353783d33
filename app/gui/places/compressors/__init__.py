"""The Compressors place: which compressor, on which pulley, over every chosen day."""

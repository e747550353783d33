"""Tracing of a pictured compressor map: records, edits, what is missing, review, files."""

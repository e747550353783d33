"""The Surge place: the build in the time domain on its own compressor map, sizing, and choke."""

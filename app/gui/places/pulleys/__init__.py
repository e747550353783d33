"""The Pulleys place: how small the blower pulley may be, and what stops it."""

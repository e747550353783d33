"""The dyno: correction standards, and from wheels to flywheel."""

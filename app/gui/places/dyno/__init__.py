"""The Dyno place: a pull beside the build."""

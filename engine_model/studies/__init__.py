"""Studies: many matches, one answer. They ask the match and hold no model of their own."""

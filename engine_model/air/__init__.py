"""Air: gas properties, the atmosphere, corrected quantities, losses."""

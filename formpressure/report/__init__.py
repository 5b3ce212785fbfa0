"""Reports: they format what the floors below computed, and compute nothing."""

"""Research models and measurements, set beside the documents; never a verdict."""

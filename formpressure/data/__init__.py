"""Tables with their sources, read by `formpressure.tables`."""

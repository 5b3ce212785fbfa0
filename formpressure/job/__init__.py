"""The job around the pour: quantities, order, and what else the crew counts."""

"""Pressure documents: one module for each edition of one document, found by name."""

"""Bare statics: beams and frames in any consistent units, without a word about concrete."""

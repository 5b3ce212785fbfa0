"""Drawn cases are the same in every run, so that a red run can be run again."""

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

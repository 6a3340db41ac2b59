"""Examples drawn by hypothesis come again, and may take their time."""

from hypothesis import settings

settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable")

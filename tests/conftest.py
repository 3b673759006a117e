"""Settings of all tests: a slow machine is no fault, so examples have no deadline."""

from hypothesis import settings

settings.register_profile("potside", deadline=None)
settings.load_profile("potside")

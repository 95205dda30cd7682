"""Properties are tried on the same 50 examples each time, so that a failure is the change's and not the day's."""

from hypothesis import settings

settings.register_profile("kit", derandomize=True, max_examples=50, deadline=None, database=None)
settings.load_profile("kit")

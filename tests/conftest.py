"""One profile for all property tests: no deadline, since two cores are shared, and few enough examples."""

from hypothesis import settings

settings.register_profile("runout", deadline=None, max_examples=60)
settings.load_profile("runout")

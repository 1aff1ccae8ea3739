"""What holds for every test: properties try the same examples each time, unless RANDOM_EXAMPLES asks for new ones."""

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("new", derandomize=False, deadline=None, print_blob=True)
settings.load_profile("new" if os.environ.get("RANDOM_EXAMPLES") else "same")

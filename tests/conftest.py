"""How hypothesis runs: never against the clock, and with CI set the same examples every time."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("by-hand", deadline=None, max_examples=40)
settings.register_profile("ci", deadline=None, max_examples=40, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "by-hand")

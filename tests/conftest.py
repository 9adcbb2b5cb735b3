"""What every test has: a folder of its own for what a run keeps, so that nobody's real one is touched."""

from __future__ import annotations

import os
import tempfile

os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp(prefix="cfgaudit-tests-")

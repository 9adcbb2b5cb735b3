"""Where the checkout is, for the tests that look at the house itself."""

from __future__ import annotations

import pathlib

ROOT = pathlib.Path(__file__).parents[2]
PACKAGE = ROOT / "cfgaudit"

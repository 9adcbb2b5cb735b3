"""``python -m cfgaudit``."""

from __future__ import annotations

from cfgaudit.cli.main import run

run()

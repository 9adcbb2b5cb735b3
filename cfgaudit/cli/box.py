"""What is in the box: for --version, without loading it."""

from __future__ import annotations

import platform
import re
from collections.abc import Iterator

from cfgaudit import __version__
from cfgaudit.shipped import shipped

_RULE = re.compile(rb"^- id: ", re.MULTILINE)
_DIALECT = re.compile(rb"^dialect: *([A-Za-z0-9_-]+)", re.MULTILINE)
_VERSIONS = re.compile(rb"^versions: *[\"']?([^\"'\r\n#]+)", re.MULTILINE)


def box_lines() -> Iterator[str]:
    """The version, the rules, the firmwares that are read, and what it runs on."""
    yield f"cfgaudit {__version__}"
    files = sorted(shipped("rules").glob("*.yaml"))
    rules = sum(len(_RULE.findall(file.read_bytes())) for file in files)
    yield f"{rules} rules on {len(files)} subjects"
    yield f"dialects: {', '.join(_dialects())} (invented firmwares; teach it yours)"
    yield f"Python {platform.python_version()}"


def _dialects() -> Iterator[str]:
    for file in sorted(shipped("grammars").glob("*.yaml")):
        text = file.read_bytes()
        name, versions = _DIALECT.search(text), _VERSIONS.search(text)
        if name:
            said = f" {versions[1].decode().strip()}" if versions else ""
            yield name[1].decode() + said

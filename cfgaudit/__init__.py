"""cfgaudit: does this flight controller's configuration fit this hardware, and what changed?

The functions here return the same plain data that the reports are drawn from::

    reading = cfgaudit.read_dump("after.txt")
    build = cfgaudit.read_build("build.yaml")
    for finding in cfgaudit.audit(reading, build, today=date.today()).findings:
        print(finding.text)

Every fault that a file can have is raised as ``cfgaudit.Refusal``, with its place.
"""

from __future__ import annotations

from datetime import date
from importlib import import_module
from typing import TYPE_CHECKING

from cfgaudit.model.refusal import Refusal

# A folder, when it is first loaded, becomes the package's attribute of its name: audit/ is loaded
# now, so that the function below takes the name from it and not the other way round.
import_module("cfgaudit.audit")

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cfgaudit.audit.finding import Audit
    from cfgaudit.audit.rule import Rule
    from cfgaudit.compare.compare import Comparison
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.model.sheet import Build

__all__ = ["Refusal", "__version__", "audit", "diff", "read_build", "read_dump"]
__version__ = "0.1.0"


def read_dump(path: str, dialect: str = "", data: bytes | None = None, build: Build | None = None) -> Reading:
    """Read a dump, by the dialect its header names or the one given (a name or a YAML file).

    ``data`` is the dump's bytes where they do not come from a file; ``path`` then only names them.
    ``build`` tells which of the chip's ports a firmware means that numbers them itself.
    """
    from cfgaudit.dialect.intake import reading_of
    from cfgaudit.dialect.shelf import named_dialect
    from cfgaudit.dump.file import read_bytes

    content = read_bytes(path) if data is None else data
    chosen = (named_dialect(dialect),) if dialect else ()
    return reading_of(content, path, build.port_numbers if build else {}, chosen)


def read_build(path: str) -> Build:
    """Read a build sheet."""
    from cfgaudit.model.sheet import read_build as read

    return read(path)


def audit(
    reading: Reading, build: Build, rules: Iterable[Rule] | None = None, today: date = date.max
) -> Audit:
    """Judge a configuration by the rules in the box and the build sheet's own, or by those given.

    What the sheet says about the rules holds. ``today`` is the day by which the findings that it accepts
    expire; without it all those that have a last day have.
    """
    from cfgaudit.audit.audit import audit as judge
    from cfgaudit.audit.book import rules_by

    return judge(reading, build, rules_by(build.terms) if rules is None else rules, build.terms, today)


def diff(before: Reading, after: Reading) -> Comparison:
    """What really changed between two configurations."""
    from cfgaudit.compare.compare import compare

    return compare(before, after)

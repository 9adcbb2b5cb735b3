"""All mends of an audit as one text to paste, and the text that takes it back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cfgaudit.audit.audit import audit
from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.audit.rule import Rule
from cfgaudit.dialect.read import pasted
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines, write
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.path import Path
from cfgaudit.model.sheet import Build
from cfgaudit.model.value import Value

ROUNDS = 5  # a mend may bring another rule's finding to light; more than this goes in circles


def remedy(reading: Reading, sheet: Build, rules: Iterable[Rule], first: Audit) -> Lines:
    """The lines that mend every finding that can be mended, worked out until nothing more is.

    Each round's mends are tried on the configuration and judged again; what they bring to light is
    mended too. The lines are then written once, from the dump as it is to where the rounds ended.
    """
    rules = tuple(rules)
    at, judged = reading, first
    wanted: dict[Path, Value] = {}
    cannot: tuple[str, ...] = ()
    for _ in range(ROUNDS):
        step = _combined(judged.findings, at.model)
        new = {path: value for path, value in step.items() if wanted.get(path) != value}
        if not new:
            break
        wanted |= new
        written = write(reading, wanted)
        cannot = written.cannot
        at = pasted(reading, Text("the mends", "\n".join(written.lines), "utf-8", mark=False))
        judged = audit(at, sheet, rules)
    written = write(
        reading, {path: value for path, value in wanted.items() if _held(reading.model, path) != value}
    )
    return Lines(written.lines, written.undo, cannot)


def _combined(findings: Iterable[Finding], model: Model) -> Mapping[Path, Value]:
    """What all findings want. Several that want a list changed each have their way with it."""
    wanted: dict[Path, Value] = {}
    for finding in findings:
        for path, value in finding.mend.wanted:
            held = _held(model, path)
            before = wanted.get(path, held)
            if isinstance(value, tuple) and isinstance(before, tuple) and isinstance(held, tuple):
                gone = [word for word in held if word not in value]
                come = [word for word in value if word not in held and word not in before]
                wanted[path] = (*(word for word in before if word not in gone), *come)
            else:
                wanted[path] = value
    return wanted


def _held(model: Model, path: Path) -> Value:
    leaf = model.at(path)
    return leaf.value if isinstance(leaf, Leaf) else ()

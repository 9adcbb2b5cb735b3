"""All mends of an audit as one text to paste, and the text that takes it back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from msgspec import Struct

from cfgaudit.audit.audit import NONE, audit
from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.audit.rule import Rule
from cfgaudit.dialect.read import pasted
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines, write
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.path import Path
from cfgaudit.model.sheet import Build
from cfgaudit.model.terms import Terms
from cfgaudit.model.value import Value

ROUNDS = 5  # a mend may bring another rule's finding to light; more than this goes in circles


class Remedy(Struct, frozen=True):
    """Lines that mend, the configuration with them, and what an audit still finds there.

    ``because`` holds the findings for whose sake a path is changed.
    """

    lines: Lines
    after: Reading
    left: Audit
    because: Mapping[Path, tuple[Finding, ...]]


def remedy(
    reading: Reading,
    sheet: Build,
    rules: Iterable[Rule],
    first: Audit,
    terms: Terms = NONE,
    today: date = date.max,
) -> Lines:
    """The lines that mend every finding that can be mended, worked out until nothing more is."""
    return remedied(reading, sheet, rules, first, terms, today).lines


def remedied(
    reading: Reading,
    sheet: Build,
    rules: Iterable[Rule],
    first: Audit,
    terms: Terms = NONE,
    today: date = date.max,
) -> Remedy:
    """Mend every finding that can be mended, until nothing more is.

    What a user's terms accept is left as it is.

    Each round's mends are tried on the configuration and judged again; what they bring to light is
    mended too. The lines are then written once, from the dump as it is to where the rounds ended.
    ``cannot`` says what is left: mends that the dialect cannot write, and such as do not last.
    """
    rules = tuple(rules)
    at, judged = reading, first
    wanted: dict[Path, Value] = {}
    because: dict[Path, tuple[Finding, ...]] = {}
    for _ in range(ROUNDS):
        step = _combined(judged.findings, at.model)
        new = {path: value for path, value in step.items() if wanted.get(path) != value}
        if not new:
            break
        wanted |= new
        for finding in judged.findings:
            for path, _value in finding.mend.wanted:
                if path in new:
                    because[path] = (*because.get(path, ()), finding)
        lines = write(reading, wanted).lines
        at = pasted(reading, Text("the mends", "\n".join(lines), "utf-8", mark=False))
        judged = audit(at, sheet, rules, terms, today)
    written = write(
        reading, {path: value for path, value in wanted.items() if _held(reading.model, path) != value}
    )
    left = [*written.cannot, *(why for finding in judged.findings if (why := _left(finding)))]
    mends = Lines(written.lines, written.undo, tuple(dict.fromkeys(left)), written.wait)
    return Remedy(mends, at, judged, because)


def _left(finding: Finding) -> str:
    """Why a finding that has a mend is there after all rounds; "" if it has none."""
    if finding.mend.cannot:
        return finding.mend.cannot
    return f"{finding.rule} comes back after its mend" if finding.mend.wanted else ""


def _combined(findings: Iterable[Finding], model: Model) -> Mapping[Path, Value]:
    """What all findings want, those left out whose mend cannot be written whole.

    Several that want a list changed each have their way with it.
    """
    wanted: dict[Path, Value] = {}
    for finding in findings:
        for path, value in () if finding.mend.cannot else finding.mend.wanted:
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

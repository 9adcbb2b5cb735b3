"""What calls for work at the bench: a finding with all that follows from it, or a change."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct

from cfgaudit.audit.finding import Finding
from cfgaudit.dialect.wait import longest
from cfgaudit.model.model import Model
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.place import Origin
from cfgaudit.model.value import Json, spoken


class Call(Struct, frozen=True):
    """One reason to look, measure or try."""

    name: str  # the rule's id; of a change, what changed
    text: str
    rules: tuple[str, ...]  # the finding's rule and those of what follows from it; none of a change
    paths: tuple[Path, ...]  # what it touches, from ``model`` or ``build`` on
    origins: tuple[Origin, ...]  # where it stands: in the dump, then in the sheet
    effect: str = ""  # what it takes effect after: "restart", "power cycle"; "" if at once
    mended: bool = False  # there are lines that mend it

    @property
    def tree(self) -> Json:
        """What the guide's expressions see as ``call``."""
        return {
            "name": self.name,
            "text": self.text,
            "rules": [*self.rules],
            "paths": [dotted(path) for path in self.paths],
            "effect": self.effect,
            "mended": self.mended,
        }


def calls_of(findings: Iterable[Finding], after: Callable[[Path], str]) -> Iterator[Call]:
    """A call for each root cause. ``after``: what a change of a model path waits for."""
    for finding in findings:
        family = [*_family(finding)]
        wanted = dict(pair for one in family for pair in one.mend.wanted if one.mend.lines)
        touched = [path for one in family for path in one.paths]
        sights = [sight for kind in (finding.found, finding.declared) for sight in kind]
        yield Call(
            name=finding.rule,
            text=finding.text,
            rules=tuple(one.rule for one in family),
            paths=tuple(dict.fromkeys((*touched, *(("model", *path) for path in wanted)))),
            origins=tuple(dict.fromkeys(sight.origin for sight in sights)),
            effect=longest(after(path) for path in wanted),
            mended=bool(finding.mend.lines),
        )


def brought_to_light(
    before: Model, after: Model, calls: Iterable[Call], waits: Callable[[Path], str]
) -> Iterator[Call]:
    """A call for what all mends together change beyond what their findings touch, if there is anything.

    Some rules fail only when others have been mended; their mends are among the lines too.
    """
    told = {path for call in calls for path in call.paths}
    changed = [
        path
        for path, leaf in after.leaves.items()
        if ("model", *path) not in told
        and not (path in before.leaves and before.leaves[path].value == leaf.value)
    ]
    if changed:
        yield Call(
            name="the mends",
            text=f"The mends change {spoken([*map(dotted, changed)])} as well: once the others are in, that "
            "must follow.",
            rules=(),
            paths=tuple(("model", *path) for path in changed),
            origins=(),
            effect=longest(map(waits, changed)),
            mended=True,
        )


def _family(finding: Finding) -> Iterator[Finding]:
    yield finding
    for one in finding.follows:
        yield from _family(one)

"""Whether what an update leads to fits the build, and where a misfit comes from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.audit.remedy import Remedy
from cfgaudit.compare.blame import judged_apart, lines_shown
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import Carried, Moved
from cfgaudit.compare.judge import Judge
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.setting import Setting
from cfgaudit.model.path import Path


class Explained(Struct, frozen=True):
    """A finding, and what of the update it is about: settings carried over or not, moved by the firmware."""

    finding: Finding
    about: tuple[Carried | Moved, ...] = ()


class Checked(Struct, frozen=True):
    """Two audits side by side: the builder's configuration before, and what the update leads to."""

    before: Audit
    after: Audit
    brought: tuple[Explained, ...]
    mended: tuple[Finding, ...]
    left: tuple[Finding, ...]
    remedy: Remedy  # of what the update leads to


def checked(plan: Plan, after: Reading, judge: Judge) -> Checked:
    """Judge what an update leads to: the plan, or the dump that was taken after it."""
    was, now = judge(plan.mine), judge(after)
    apart = judged_apart(was, now)
    told = _by_path(plan)
    return Checked(
        was,
        now,
        tuple(Explained(one, tuple(_about(one, after, told))) for one in apart.brought),
        apart.mended,
        apart.left,
        judge.remedied(after, now),
    )


def _by_path(plan: Plan) -> dict[Path, list[Carried | Moved]]:
    """What the update is about, by the model's paths."""
    told: dict[Path, list[Carried | Moved]] = {}
    every: list[Carried | Moved] = [*plan.carried, *plan.moved]
    for one in every:
        for side in (one.triple.old, one.triple.mine, one.triple.new):
            for path in side.paths if isinstance(side, Setting) else ():
                told.setdefault(path, []).append(one)
    return told


def _about(
    finding: Finding, after: Reading, told: Mapping[Path, Sequence[Carried | Moved]]
) -> Iterator[Carried | Moved]:
    """What of the update a finding points at; of what it names without a line, all below it."""
    shown = lines_shown(finding)
    pointed = {
        path for path, entry in after.givers.items() if (entry.statement.file, entry.statement.line) in shown
    }
    named = {path[1:] for path in finding.paths if path[:1] == ("model",)}
    paths = pointed or {path for path in told if any(path[: len(name)] == name for name in named if name)}
    found = {id(one): one for path in sorted(paths) for one in told.get(path, ())}
    yield from found.values()

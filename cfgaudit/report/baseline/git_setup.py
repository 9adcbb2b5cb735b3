"""What git has to be told, or was told, for baselines."""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator, Sequence

from cfgaudit.baseline.setup import ATTRIBUTES, Step
from cfgaudit.report.safe import safe

_COMMAND = "cfgaudit baseline git-setup --write"


def todo_lines(top: str, todo: Sequence[Step]) -> Iterator[str]:
    """What is lacking, as it would be typed."""
    lines, keys = _lacking(todo)
    if not (lines or keys):
        yield "Nothing is to be done: git is set up for these files here."
        return
    if lines:
        yield f"Lines for {safe(os.path.join(top, ATTRIBUTES))}, to be committed:"
        yield ""
        yield from (f"    {safe(step.value)}" for step in lines)
        yield ""
    if keys:
        yield "For this clone's own config:"
        yield ""
        yield from (f"    git config {step.name} {safe(shlex.quote(step.value))}" for step in keys)
        yield ""
    yield f"{_COMMAND} does this. Each other clone runs it once: git's config is not cloned."


def done_lines(top: str, done: Sequence[Step]) -> Iterator[str]:
    """What was written, and what is left to people."""
    lines, keys = _lacking(done)
    if not (lines or keys):
        yield "Nothing was to be done: git is set up for these files here."
        return
    if lines:
        yield f"{safe(os.path.join(top, ATTRIBUTES))}: added, to be committed"
        yield from (f"    {safe(step.value)}" for step in lines)
    if keys:
        yield "This clone's own config: set"
        for step in keys:
            yield f"    {step.name}" + (f", which was {safe(step.before)}" if step.before else "")
    yield f"Each other clone is set up once, by {_COMMAND}: git's config is not cloned."
    yield "To undo: git config --remove-section diff.cfgaudit; git config --remove-section merge.cfgaudit"


def _lacking(steps: Sequence[Step]) -> tuple[list[Step], list[Step]]:
    lacking = [step for step in steps if not step.is_there]
    return [step for step in lacking if not step.name], [step for step in lacking if step.name]

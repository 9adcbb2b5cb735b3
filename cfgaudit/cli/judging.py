"""What a craft is judged by: its sheet, the rules, what the project and the sheet say of them, the day."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from cfgaudit.cli.project import Task

if TYPE_CHECKING:
    from cfgaudit.compare.judge import Judge
    from cfgaudit.model.sheet import Build


def judge_of(task: Task, sheet: Build, folders: Iterable[str] = ()) -> Judge:
    """The judge of a craft; ``folders`` are those with rules that the command line names. Raises Refusal."""
    from cfgaudit.audit.book import rules_by
    from cfgaudit.cli.clock import today
    from cfgaudit.compare.judge import Judge

    terms = task.terms.and_then(sheet.terms)
    return Judge(sheet, rules_by(terms, folders), terms, today())

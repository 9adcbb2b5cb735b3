"""What every test of presets needs: the samples' dumps, their sheets, and a preset from lines."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cache

import cfgaudit
from cfgaudit.audit import book
from cfgaudit.audit.rule import Rule
from cfgaudit.compare.preset.arrived import Applied, applied
from cfgaudit.compare.preset.preset import DryRun, Judge, dry_run
from cfgaudit.compare.preset.text import adapted_lines
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.shelf import shipped_fronts
from cfgaudit.dump.text import Text
from tests.house.checkout import ROOT

DUMPS = {"otter": "before", "heron": "known-good", "vole": "known-good"}


@cache
def rules() -> tuple[Rule, ...]:
    return book.shipped_rules()


@cache
def judge(craft: str = "otter") -> Judge:
    sheet = cfgaudit.read_build(str(ROOT / "samples" / craft / "build.yaml"))
    return Judge(sheet, rules(), sheet.terms, date(2026, 6, 1))


@cache
def dump(craft: str = "otter", name: str = "") -> Reading:
    file = ROOT / "samples" / craft / f"{name or DUMPS[craft]}.txt"
    return cfgaudit.read_dump(f"{craft}.txt", data=file.read_bytes(), build=judge(craft).sheet)


@cache
def otters_lines() -> tuple[str, ...]:
    return tuple((ROOT / "samples/otter/preset.txt").read_text("utf-8").splitlines())


def preset(lines: Iterable[str]) -> Text:
    return Text("preset.txt", "".join(f"{line}\n" for line in lines), "utf-8", mark=False)


def tried(lines: Iterable[str], craft: str = "otter", name: str = "") -> DryRun:
    return dry_run(dump(craft, name), preset(lines), judge(craft), shipped_fronts())


def came_of(lines: Iterable[str], after: Reading, craft: str = "otter") -> Applied:
    return applied(dump(craft), preset(lines), after, judge(craft), shipped_fronts())


def adapted(run: DryRun, *, hide: bool = False) -> list[str]:
    return list(adapted_lines(run.session, run.adapted.parts, hide=hide))

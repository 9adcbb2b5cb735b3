"""The otter's preset, tried and typed, as reports are drawn from it."""

from __future__ import annotations

from functools import cache

from cfgaudit.cli.heads import build_head, dump_head
from cfgaudit.compare.preset.arrived import Applied
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.report.preset.paper import PresetHead, PresetPaper
from tests.compare.preset import desk

_HEADS = build_head(desk.judge().sheet), PresetHead("preset.txt", 19), dump_head(desk.dump())
PRESET_PAPER = PresetPaper("0.1.0", *_HEADS)
APPLIED_PAPER = PresetPaper("0.1.0", *_HEADS, (dump_head(desk.dump("otter", "after-preset")),))


@cache
def tried() -> DryRun:
    return desk.tried(desk.otters_lines())


@cache
def came_of() -> Applied:
    return desk.came_of(desk.otters_lines(), desk.dump("otter", "after-preset"))

"""What holds for any choice of lines, in any order.

To look further than the few examples of a run: DEEPER=20 pytest tests/compare/preset
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.compare.blame import finds
from cfgaudit.compare.preset.adapt import Kept
from cfgaudit.compare.preset.board import absent_ports
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.compare.preset.text import commands
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.typed import Fate, prepared
from tests.compare.preset import desk

DEEPER = int(os.environ.get("DEEPER", "1"))
MANY = settings(
    max_examples=6 * DEEPER,
    derandomize=DEEPER == 1,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)

OTTERS = [line for line in desk.otters_lines() if line]
# single settings of every kind: those of the other samples' dumps with another's value
SINGLE = st.one_of(
    st.builds(
        "link {} does 0x{:x} at {}".format,
        st.sampled_from(["usb", "u1", "u3", "u4", "u6", "u7"]),
        st.sampled_from([0, 1, 4, 0x10, 0x80, 0x90, 0x40, 0x1000, 0x400000]),
        st.sampled_from([1200, 9600, 115200, 420000, 3000000]),
    ),
    st.builds(
        "out {} turns m{} pin {}".format,
        st.integers(1, 9),
        st.integers(1, 8),
        st.sampled_from(["B0", "B7", "C8", "B6", "C9", "-", "Z1"]),
    ),
    st.builds("draw {} at {}".format, st.sampled_from(["craft", "pack", "timer"]), st.integers(0, 4095)),
    st.builds("screen := {}".format, st.sampled_from(["camera", "serial", "nothing"])),
    st.builds("screen.columns := {}".format, st.integers(20, 70)),
    st.builds("stick.link := {}".format, st.sampled_from(["crsf", "sbus", "x"])),
    st.builds(
        "volts.{} := {}".format, st.sampled_from(["warn", "empty", "full", "low"]), st.integers(0, 600)
    ),
    st.builds("thrust.{} := {}".format, st.sampled_from(["magnets", "idle", "ceiling"]), st.integers(0, 100)),
    st.builds("thrust.speech := {}".format, st.sampled_from(["dshot150", "dshot300", "dshot600", "pulse"])),
    st.builds(
        "switch {} works {} by lever {} from 900 to {}".format,
        st.integers(1, 10),
        st.sampled_from(["ready", "nothing", "cut", "roll-over"]),
        st.integers(1, 12),
        st.integers(900, 2100),
    ),
    st.sampled_from(
        ["lost.does := hold", "ready.checks := no", "sense.north := yes", "beat.control := 8000"]
    ),
    st.sampled_from(["tune 1", "tune 2", "tune 3", "feel 1", "grip.roll := 90", "keep", "wake", "nonsense"]),
)
PRESETS = st.one_of(
    st.lists(st.sampled_from(OTTERS), max_size=12),
    st.permutations(OTTERS),
    st.lists(SINGLE, min_size=1, max_size=5),
    st.lists(SINGLE | st.sampled_from(OTTERS), min_size=1, max_size=20),
)
NAMES = st.sampled_from(["before", "known-good"])


def holds(run: DryRun) -> None:
    before = run.session.before
    is_absent = absent_ports(before, desk.judge().sheet)
    in_force = run.session.after.in_force
    for one in run.session.typed:
        (entry, *_) = one.entries or (None,)
        if one.fate is Fate.SETS:
            assert entry
            assert in_force[entry.shared_slot] is entry
            assert before.in_force.get(entry.shared_slot) is not entry
        assert bool(why_nothing(one, before, run.elsewhere)) == one.does_nothing
        known = one.fate in (Fate.SETS, Fate.OPENS, Fate.KEEPS, Fate.RESTARTS, Fate.SHOWS)
        assert known != one.does_nothing

    def without(numbers: frozenset[int]) -> frozenset[str]:
        overruled = {one.statement.line for one in run.session.typed if {by.line for by in one.by} & numbers}
        numbers |= overruled
        audit = desk.judge()(prepared(before, run.preset, is_absent).after(numbers))
        return frozenset(one.fingerprint for one in audit.findings)

    for one in run.effect.brought:
        assert one.lines
        assert one.finding.fingerprint not in without(frozenset(line.line for line in one.lines))
        assert not finds(run.before, one.finding)
    typed = {one.statement.line for one in run.session.typed} - commands(run.session)
    kept = [part.was[0].line for part in run.adapted.parts if part.was and part.was[0].line in typed]
    assert kept == sorted(typed)
    for part in run.adapted.changed:
        opens = part.kept is Kept.ADDED and part.line.split()[0] in ("tune", "feel")
        assert part.reasons or opens


@MANY
@given(lines=PRESETS, name=NAMES)
def test_laws(lines: list[str], name: str) -> None:
    run = desk.tried(lines, name=name)
    holds(run)
    text = desk.adapted(run)
    assert all(line.isprintable() for line in text)
    again = desk.tried(text, name=name)
    assert [one.fingerprint for one in again.after.findings] == [
        one.fingerprint for one in run.adapted.audit.findings
    ]
    mendable = [one.finding for one in again.effect.brought if one.finding.mend.lines]
    assert not mendable, [one.text for one in mendable]


@MANY
@given(lines=st.lists(st.sampled_from(OTTERS), max_size=15))
def test_what_was_typed_took_effect(lines: list[str]) -> None:
    run = desk.tried(lines)
    done = desk.came_of(lines, run.session.after)
    assert done.beside.same
    outcomes = {one.outcome.name for one in done.arrived}
    assert "MISSING" not in outcomes
    assert [one.finding.fingerprint for one in done.effect.brought] == [
        one.finding.fingerprint for one in run.effect.brought
    ]

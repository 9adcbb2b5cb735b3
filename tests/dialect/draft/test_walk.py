"""The whole way to a firmware that nobody in the box knows: draft, at most eight lessons, audit."""

from __future__ import annotations

from functools import cache

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.finding import Audit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.draft.draft import draft
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect, recognise
from cfgaudit.dialect.shelf import own_dialect, shipped_dialects
from cfgaudit.dialect.teach.fact import fact
from cfgaudit.dialect.teach.teach import teach
from cfgaudit.dialect.write import write
from cfgaudit.dump.read import read_statements
from cfgaudit.model.placed import read_yaml
from tests.dialect.draft.drafted import SAMPLES, sheet, source

# What was changed on purpose for each lesson, in the model's words.
LESSONS = (
    "osd.drive = chip was displayport",
    "receiver.link = sbus was crsf",
    "arming.checks = no",
    "motors.bidirectional = no",
    "motors.idle_percent = 6 was 5.5",
    "ports.UART2.functions += telemetry",
)
PLANTED = {
    "osd/drive-does-not-fit": "chip",
    "receiver/link-differs": "sbus",
    "serial/job-on-wrong-port": "UART2",
    "motor/pin-differs": "PB6",
}


@cache
def walked() -> str:
    """The dialect's text after all lessons."""
    known = source("teach")
    text = draft(known, sheet("teach")).text
    before = read_statements(known, "console")
    for number, told in enumerate(LESSONS, 1):
        after = read_statements(source("teach", f"lesson-{number}.txt"), "console")
        got = teach(read_yaml(text, "dabchick.yaml"), before, after, [fact(told)])
        assert not got.refused, told
        text = got.text
    return text


@cache
def dialect() -> Dialect:
    return own_dialect(read_yaml(walked(), "dabchick.yaml"))


def read(name: str) -> Reading:
    dump = source("teach", name)
    return read_dump(dump, as_dialect(dump, dialect()))


def judged(name: str) -> Audit:
    return audit(read(name), sheet("teach"), shipped_rules())


def test_eight_lessons_are_enough() -> None:
    assert len(LESSONS) <= 8
    assert len(list((SAMPLES / "teach").glob("lesson-*.txt"))) == len(LESSONS)


def test_the_planted_faults_are_found_and_none_other() -> None:
    found = {one.rule: one.text for one in judged("faulty.txt").findings}
    assert found.keys() == PLANTED.keys()
    for rule, word in PLANTED.items():
        assert word in found[rule]


def test_the_known_good_dump_has_no_findings() -> None:
    done = judged("known-good.txt")
    assert not done.findings


def test_each_lesson_reads_as_it_was_told() -> None:
    """The dump after a lesson says what the lesson was told, and otherwise what the known-good dump says."""
    base = read("known-good.txt").model.leaves
    for number, told in enumerate(LESSONS, 1):
        after = read(f"lesson-{number}.txt").model.leaves
        changed = {path for path in base.keys() | after.keys() if _value(base, path) != _value(after, path)}
        assert changed == {fact(told).path}, told


def _value(leaves: object, path: object) -> object:
    leaf = leaves.get(path)  # type: ignore[attr-defined]
    return leaf.value if leaf else None


def test_the_header_tells_the_firmware_among_the_shipped_ones() -> None:
    dump = source("teach", "faulty.txt")
    assert recognise(dump, (*shipped_dialects(), dialect())).dialect.name == "dabchick"


def test_the_way_back_is_exact() -> None:
    """Every leaf of the faulty dump, written into the known-good one, makes it say the same."""
    good, bad = read("known-good.txt"), read("faulty.txt")
    assert bad.dump.text == source("teach", "faulty.txt").text
    wanted = {
        path: leaf.value
        for path, leaf in bad.model.leaves.items()
        if _value(good.model.leaves, path) != leaf.value
    }
    written = write(good, wanted)
    assert not written.cannot
    for line in written.lines:
        assert _squeezed(line) in map(_squeezed, bad.dump.text.splitlines())
    back = write(bad, {path: good.model.leaves[path].value for path in wanted})
    for line in back.lines:
        assert _squeezed(line) in map(_squeezed, good.dump.text.splitlines())


def _squeezed(line: str) -> str:
    return line.replace(" :", ":")

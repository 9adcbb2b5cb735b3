"""What a sheet leaves out: at least all that any dump's audit lacks, with lines that fill the gaps."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import islice

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.left_out import LeftOut, left_out
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import Build, build_from, normalise
from cfgaudit.model.value import Json
from tests.audit.bench import SAMPLES, sample, sheet

RULES = shipped_rules()
CRAFTS = {"otter": 2, "heron": 5, "vole": 5}  # of how many keys one is tried: each takes a tenth of a second


def of(text: str) -> dict[str, LeftOut]:
    return {dotted(one.path): one for one in left_out(build_from(read_yaml(text, "build.yaml")), RULES)}


@pytest.mark.parametrize("craft", CRAFTS)
def test_a_whole_sheet_leaves_nothing_out(craft: str) -> None:
    assert left_out(sheet(craft), RULES) == ()


def without(craft: str) -> Iterator[tuple[str, Build]]:
    """A craft's sheet, each time without one of its keys."""
    whole = sheet(craft)
    for path in _paths(whole.tree):
        yield dotted(path), Build(normalise(_less(whole.tree, path)), whole.placed, whole.file)  # type: ignore[arg-type]


def _paths(node: Json, path: Path = ()) -> Iterator[Path]:
    inner = (
        node.items()
        if isinstance(node, dict)
        else ((str(n), one) for n, one in enumerate(node))
        if isinstance(node, list)
        else ()
    )
    for key, below in inner:
        if isinstance(node, dict):
            yield (*path, key)
        yield from _paths(below, (*path, key))


def _less(node: Json, path: Path) -> Json:
    key, *rest = path
    if isinstance(node, list):
        return [_less(one, tuple(rest)) if str(n) == key else one for n, one in enumerate(node)]
    assert isinstance(node, dict)
    if not rest:
        return {name: one for name, one in node.items() if name != key}
    return {name: _less(one, tuple(rest)) if name == key else one for name, one in node.items()}


@pytest.mark.parametrize("craft", CRAFTS)
def test_what_an_audit_lacks_is_left_out(craft: str) -> None:
    """Whatever key is gone: each rule that the good dump's audit cannot judge waits for what it says."""
    reading = sample(f"{craft}/known-good.txt")
    seen = 0
    for gone, build in islice(without(craft), 0, None, CRAFTS[craft]):
        lacking = {(one.lacks, one.rule) for one in audit(reading, build, RULES).not_judged if one.lacks}
        said = {(one.path, rule) for one in left_out(build, RULES) for rule in one.rules}
        assert {one for one in lacking if not _is_number(one[0])} <= said, gone
        seen += len(lacking)
    assert seen > 20


def _is_number(path: Path) -> bool:
    """A firmware's own number of a port: whether it has such numbers, only its dump tells."""
    return path[:2] == ("board", "ports") and path[-1:] == ("number",)


def test_the_most_awaited_comes_first() -> None:
    counts = [len(one.rules) for one in of("craft: coot").values()]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > 5


def test_gaps_behind_a_gap_are_said_too() -> None:
    gaps = of("craft: coot\nmotors: {places: {1: {at: front}}}")
    for path in ("motors.peak_a", "battery.capacity_mah", "battery.c_rating", "battery.connector"):
        assert any(rule.startswith("power/") for rule in gaps[path].rules), path
    assert "power/pack-too-weak" in gaps["battery.c_rating"].rules


def test_a_gap_has_its_place_and_its_words() -> None:
    board = "board:\n  name: Reed-405\n  chip: STM32F405RGT6\n"
    gap = of(f"craft: coot\n{board}devices:\n  - receiver: {{port: UART1}}\n")["board.clocks.apb2_mhz"]
    assert gap.rules == ("serial/rate-inexact", "serial/rate-not-made")
    assert (gap.below, gap.where) == (("board",), Place("build.yaml", 2, 1))
    assert gap.line == "clocks: {apb2_mhz: 84}"
    assert gap.meaning == "the second peripheral bus, which feeds the ports 1 and 6"
    assert not gap.reason


def test_a_device_is_named() -> None:
    gap = of("devices:\n  - gnss: {name: position receiver, port: UART4}\n")["devices.0.speaks"]
    assert gap.about == "position receiver"
    assert gap.where == Place("build.yaml", 2, 11)
    assert gap.line == "speaks: crsf"


def test_a_device_that_is_one_word() -> None:
    gap = of("devices:\n  - buzzer\n  - gnss\n")["devices.1.port"]
    assert (gap.about, gap.where) == ("gnss", Place("build.yaml", 3, 5))
    assert gap.meaning == "the serial port that it is soldered to"


def test_what_is_of_no_use_says_why() -> None:
    text = "board: {chip: ESP32}\nmotors: {peak_a: 5, places: {1: {}}}\nbattery: {connector: XT99}\n"
    gaps = of(text)
    assert gaps["battery.connector"].reason.startswith("what a XT99 stands is not known here")
    assert gaps["board.chip"].reason.startswith("no list of chips here has ESP32")
    assert gaps["board.chip"].line == ""


def test_no_name_is_made_up() -> None:
    """No port, pad, rail or motor but those that the sheet names."""
    for path in of("motors: {places: {7: {spin: clockwise}}}\ndevices:\n  - receiver: {port: UART7}\n"):
        keys = path.split(".")
        assert keys[:2] != ["board", "motor_pads"] or len(keys) == 2
        assert keys[:2] != ["motors", "places"] or keys[2:3] in ([], ["7"])
        assert keys[:2] != ["board", "rails"] or len(keys) == 2


@pytest.mark.parametrize(
    "text",
    [
        "craft: coot",
        "devices:\n  - receiver: {port: UART1}\n  - digital video: {port: UART2}\n  - gnss: {port: UART3}\n",
        "devices:\n  - analogue camera: {}\n  - companion: {port: UART1}\nmotors: {places: {1: {}}}\n",
    ],
)
def test_the_lines_can_be_written(text: str) -> None:
    """Each line with its example is one that the sheet's schema takes where it is said to belong."""
    for gap in filter(lambda one: one.line, of(text).values()):
        written: object = read_yaml(gap.line, "line").data
        for key in reversed(gap.below):
            written = [{"receiver": written}] if key == "0" else {key: written}
        if not any(key.isdecimal() and key != "0" for key in gap.below):
            build_from(read_yaml(json.dumps(written), "build.yaml"))


def test_every_line_of_the_sample_s_gaps_closes_its_gap() -> None:
    """moorhen's sheet with its first gap filled, again and again, until none is left."""
    text = (SAMPLES / "teach" / "build.yaml").read_text("utf-8")
    for _ in range(40):
        build = build_from(read_yaml(text, "build.yaml"))
        gaps = left_out(build, RULES)
        if not gaps:
            return
        text = _filled(build, gaps[0])
    raise AssertionError(f"{len(gaps)} gaps are left")


def _filled(build: Build, gap: LeftOut) -> str:
    data = build.placed.data
    node: object = data
    for step in build.trail(gap.below)[0]:
        node = node[step]  # type: ignore[index]
    for key in gap.keys[:-1]:
        node = node.setdefault(key, {})  # type: ignore[attr-defined]
    node[gap.keys[-1]] = gap.example  # type: ignore[index]
    return json.dumps(data)

"""The otter's story: what a preset for another board changed, read from the two dumps."""

from __future__ import annotations

from cfgaudit.compare.change import Weight
from cfgaudit.compare.compare import compare
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import recognise
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dump.text import decode
from tests.house.checkout import ROOT


def dump(name: str) -> Reading:
    text = decode((ROOT / "samples" / "otter" / name).read_bytes(), name)
    return read_dump(text, recognise(text, shipped_dialects()))


def test_what_the_preset_did_to_the_otter() -> None:
    found = compare(dump("before.txt"), dump("after.txt"))
    told = {(one.weight, one.subject, one.text, one.effect) for one in found.changes}
    assert {
        (Weight.HURT, "motor 3", "pin PC8 → PC9", "after a restart"),
        (Weight.WIRING, "displayport", "appeared on UART6, beside gnss", "after a restart"),
        (Weight.WIRING, "receiver", "link crsf → sbus", "after a restart"),
        (Weight.FLIGHT, "battery", "warns at 3.5 → 3.6 V per cell", ""),
    } <= told
    assert [one.weight for one in found.changes] == sorted(
        (one.weight for one in found.changes), key=list(Weight).index
    )
    motor = next(one for one in found.changes if one.subject == "motor 3")
    assert [getattr(place, "file", "") for place in motor.before + motor.after] == ["before.txt", "after.txt"]

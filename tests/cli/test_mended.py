"""A dump with its mends put below it is a dump that audits clean, and the undo below that leads back."""

from __future__ import annotations

from pathlib import Path

import pytest

import cfgaudit
from cfgaudit.cli.main import main
from cfgaudit.dialect.reading import Reading
from tests.house.checkout import ROOT

SAMPLES = ROOT / "samples"

# Faults by hand, in each dialect, at places outside every scope and within one.
SPOILED = {
    "otter": {"volts.warn := 350": "volts.warn := 290", "link u4 does 0x80": "link u4 does 0x0"},
    "heron": {'craft = "heron"': 'craft = "egret"', "carries = picture-text": "carries ="},
    "vole": {
        "NAME_OF_CRAFT,vole": "NAME_OF_CRAFT,vole, old",
        "LINK3_WORK,1024": "LINK3_WORK,0",
        "LEVER0,START,5,1700": "LEVER0,START,5,900",
        "ROTOR_PAIRS,6": "ROTOR_PAIRS,7",
    },
}


def values(reading: Reading) -> dict[tuple[str, ...], object]:
    return {path: leaf.value for path, leaf in reading.model.leaves.items()}


@pytest.mark.parametrize("craft", SPOILED)
def test_mends_below_a_dump(craft: str, tmp_path: Path) -> None:
    build = str(SAMPLES / craft / "build.yaml")
    good = (SAMPLES / craft / "known-good.txt").read_text("utf-8")
    text = good
    for right, wrong in SPOILED[craft].items():
        assert right in text
        text = text.replace(right, wrong, 1)
    dump, mends = tmp_path / "dump.txt", tmp_path / "mends.txt"
    dump.write_text(text, "utf-8")
    assert main(["audit", str(dump), "--build", build, "--mend", str(mends)]) == 1

    mended = tmp_path / "mended.txt"
    mended.write_text(text + mends.read_text("utf-8"), "utf-8")
    assert main(["audit", str(mended), "--build", build]) == 0
    assert main(["diff", str(mended), str(SAMPLES / craft / "known-good.txt")]) == 0

    undone = tmp_path / "undone.txt"
    undone.write_text(mended.read_text("utf-8") + Path(f"{mends}.undo").read_text("utf-8"), "utf-8")
    assert main(["diff", str(undone), str(dump)]) == 0
    assert values(cfgaudit.read_dump(str(undone))) == values(cfgaudit.read_dump(str(dump)))


def test_otter_after_its_preset(tmp_path: Path) -> None:
    build = str(SAMPLES / "otter" / "build.yaml")
    after = (SAMPLES / "otter" / "after.txt").read_text("utf-8")
    mends = tmp_path / "mends.txt"
    main(["audit", str(SAMPLES / "otter" / "after.txt"), "--build", build, "--mend", str(mends)])
    mended = tmp_path / "mended.txt"
    mended.write_text(after + mends.read_text("utf-8"), "utf-8")
    assert main(["audit", str(mended), "--build", build]) == 0

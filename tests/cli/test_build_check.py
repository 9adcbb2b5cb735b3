"""cfgaudit build check: a sheet by itself, its faults, its findings, what it leaves out."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cli.session import SHEET, process, refused, run
from tests.cli.test_fuzz import EDITS, Edits, examples, file_of, guarded, spoilt

SHARED = """\
craft: coot
board:
  rails: {5V: {volts: 5, amps: 1}}
devices:
  - receiver: {port: UART1, draws_a: 0.2, wires: {5V: supply, GND: ground}}
  - gnss: {name: position receiver, port: UART1, draws_a: 1, wires: {5V: supply, GND: ground}}
"""


@pytest.fixture
def sheet(tmp_path: pathlib.Path) -> pathlib.Path:
    file = tmp_path / "build.yaml"
    file.write_text(SHARED, "utf-8")
    return file


def data(*arguments: str | pathlib.Path) -> Any:
    return json.loads(run("build", "check", *arguments, "--format", "json").out)


def test_findings_are_as_in_an_audit(sheet: pathlib.Path) -> None:
    outcome = run("build", "check", sheet)
    assert (outcome.code, outcome.err) == (1, "")
    said = " ".join(outcome.out.split())
    assert "ERROR position receiver and receiver are both on UART1, but cannot share one line." in said
    assert "WARNING receiver 0.2 A and position receiver 1 A draw 1.2 A together from the 5V rail" in said
    assert f"declared {sheet}:3:" in said
    assert "rule power/rail-overloaded" in said
    assert "mend" not in said


@pytest.mark.parametrize(
    ("level", "code"), [("error", 1), ("warning", 1), ("note", 1), ("never", 0)], ids=str
)
def test_the_level_that_counts(level: str, code: int, sheet: pathlib.Path) -> None:
    assert run("build", "check", sheet, "--fail-at", level).code == code


def test_warnings_alone(sheet: pathlib.Path) -> None:
    sheet.write_text(
        SHARED.replace("position receiver, port: UART1", "position receiver, port: UART4"), "utf-8"
    )
    assert run("build", "check", sheet).code == 1
    assert run("build", "check", sheet, "--fail-at", "error").code == 0


def test_what_is_left_out_is_no_finding() -> None:
    assert run("build", "check", "samples/teach/build.yaml", "--fail-at", "note").code == 0


def test_nothing_is_left_out_of_a_whole_sheet() -> None:
    outcome = run("build", "check", SHEET)
    assert outcome.code == 0
    assert "nothing is left out" in outcome.out
    assert data(SHEET)["left_out"] == []


def test_data(sheet: pathlib.Path) -> None:
    said = data(sheet)
    assert said["kind"] == "build-check"
    assert said["counts"]["error"] == 1
    assert said["counts"]["left_out"] == len(said["left_out"])
    assert said["counts"]["waiting"] == len({rule for one in said["left_out"] for rule in one["rules"]})
    (port,) = (one for one in said["left_out"] if one["path"] == "devices.1.speaks")
    assert port["about"] == "position receiver"
    assert port["where"]["line"] == 6
    assert port["write"] == "speaks: crsf"


def test_every_fault_of_a_sheet_is_said_with_its_place(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text("craft: 3\nboards: {}\ndevices:\n  - reciever: {port: UART1}\nesc: {amps: -1}\n", "utf-8")
    outcome = run("build", "check", file)
    assert (outcome.code, outcome.out) == (2, "")
    lines = outcome.err.splitlines()
    assert [line.removeprefix(f"{file}:").partition(": ")[0] for line in lines] == [
        "1:8",
        "2:1",
        "4:5",
        "5:13",
    ]
    assert "did you mean 'receiver'?" in lines[2]
    assert run("build", "check", file, "--format", "json") == outcome


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "this file is empty"),
        ("a: [", "this is not YAML"),
        ("board: {ports: {UART4: {}, USART4: {}}}", "board.ports: USART4 is the same port as UART4"),
        ("radio: {arm: {channel: 5, from_us: 2000, to_us: 1000}}", "upside down"),
    ],
)
def test_what_is_no_sheet(text: str, said: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text(text, "utf-8")
    line = refused("build", "check", file)
    assert line.startswith(f"{file}:1:")
    assert said in line


def test_there_is_no_such_file(tmp_path: pathlib.Path) -> None:
    assert "there is no such file" in refused("build", "check", tmp_path / "none.yaml")


def test_rules_of_one_s_own(tmp_path: pathlib.Path) -> None:
    (tmp_path / "mine.yaml").write_text(
        """\
- id: mine/class
  level: note
  title: The class is not told
  needs: [build.craft, build.propeller.blades]
  expect: has(build.class)
  say: What kind of craft {build.craft} is, the sheet does not say.
  at: {declared: [build.craft]}
  why: We keep a list.
  basis: common practice
  cases:
    - fails: {build: {craft: coot, propeller: {blades: 2}}}
    - holds: {build: {craft: coot, class: quad, propeller: {blades: 2}}}
""",
        "utf-8",
    )
    outcome = run("build", "check", SHEET, "--rules", tmp_path)
    assert outcome.code == 0
    assert "mine" in outcome.out
    sheet = tmp_path / "sheet" / "build.yaml"
    sheet.parent.mkdir()
    sheet.write_text("craft: coot\n", "utf-8")
    left = {one["path"]: one["rules"] for one in data(sheet, "--rules", tmp_path)["left_out"]}
    assert left["propeller.blades"] == ["mine/class"]
    sheet.write_text("craft: coot\npropeller: {blades: 2}\n", "utf-8")
    assert "What kind of craft coot is" in run("build", "check", sheet, "--rules", tmp_path).out


def test_why_can_be_left_out(sheet: pathlib.Path) -> None:
    with_, without = run("build", "check", sheet), run("build", "check", sheet, "--no-why")
    assert "why  " in with_.out
    assert "why  " not in without.out


def test_as_a_process_of_its_own() -> None:
    done = process("build", "check", SHEET)
    assert done.returncode == 0
    assert not done.stderr


@examples(8)
@given(edits=EDITS, form=st.sampled_from(["text", "json"]))
def test_a_spoilt_sheet(edits: Edits, form: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Every line of a fault names its place; nothing steers a terminal."""
    file = tmp_path_factory.mktemp("fuzz") / "build.yaml"
    file.write_bytes(spoilt(file_of(SHEET), edits))
    with guarded():
        outcome = run("build", "check", file, "--format", form)
    assert outcome.code in (0, 1, 2)
    for line in [*outcome.out.split("\n"), *outcome.err.split("\n")]:
        assert line.isprintable()
    if outcome.code == 2:
        assert outcome.out == ""
        assert all(line.startswith(f"{file}:") for line in outcome.err.splitlines())


# What the sheet says about the rules

OWN = """\
- id: club/two-devices
  level: warning
  title: A craft of our club has two devices at least
  needs: [build.devices]
  expect: size(build.devices) > 2
  say: "{size(build.devices)} devices are too few."
  why: It is a rule of the club.
  basis: the club
  cases:
    - fails: {build: {devices: [receiver]}}
"""


def with_terms(sheet: pathlib.Path, terms: str) -> pathlib.Path:
    sheet.write_text(SHARED + terms, "utf-8")
    return sheet


def test_the_sheet_s_own_rules_are_asked(sheet: pathlib.Path) -> None:
    (sheet.parent / "own").mkdir()
    (sheet.parent / "own" / "club.yaml").write_text(OWN, "utf-8")
    found = data(with_terms(sheet, "rules: {folder: own}\n"))["findings"]
    assert "club/two-devices" in {one["rule"] for one in found}


def test_a_rule_that_the_sheet_switches_off_is_not_asked_and_nothing_waits_for_it(
    sheet: pathlib.Path,
) -> None:
    terms = "rules: {levels: {power/rail-overloaded: {level: off, reason: a bigger one is on its way}}}\n"
    told = data(with_terms(sheet, terms))
    assert "power/rail-overloaded" not in {one["rule"] for one in told["findings"]}
    assert [one["rule"] for one in told["weighed"]] == ["power/rail-overloaded"]
    terms = terms.replace("power/rail-overloaded", "battery/capacity-differs")
    waiting = {rule for one in data(with_terms(sheet, terms))["left_out"] for rule in one["rules"]}
    assert waiting
    assert "battery/capacity-differs" not in waiting


def test_what_the_sheet_accepts_does_not_count(sheet: pathlib.Path) -> None:
    terms = """\
accepted:
  - {rule: power/rail-overloaded, reason: both never send at once}
  - {rule: serial/devices-that-cannot-share, reason: one of them lies in the box}
"""
    outcome = run("build", "check", with_terms(sheet, terms))
    assert outcome.code == 0
    assert "No findings but the accepted ones: the sheet does not speak against itself." in outcome.out
    assert "reason    one of them lies in the box" in outcome.out
    told = data(sheet)
    assert [one["finding"]["rule"] for one in told["accepted"]] == [
        "serial/devices-that-cannot-share",
        "power/rail-overloaded",
    ]
    assert told["counts"]["accepted"] == 2


def test_what_only_an_audit_can_find_is_no_unused_acceptance(sheet: pathlib.Path) -> None:
    terms = (
        "accepted: [{rule: osd/elements-overlap, reason: never at once}, {rule: video/radar, reason: x}]\n"
    )
    assert [one["rule"] for one in data(with_terms(sheet, terms))["unheeded"]] == ["video/radar"]


def test_an_acceptance_of_a_rule_that_is_not_there(sheet: pathlib.Path) -> None:
    line = refused("build", "check", with_terms(sheet, "accepted: [{rule: power/rail, reason: x}]\n"))
    assert line.startswith(f"{sheet}:7:12: there is no rule power/rail; did you mean power/rail-overloaded?")

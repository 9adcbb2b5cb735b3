"""What a sheet says about the rules, on the command line: accepted findings, levels, own rules."""

from __future__ import annotations

import json
import pathlib
from datetime import date
from typing import Any

import jsonschema
import pytest
from referencing import Registry

import cfgaudit
import cfgaudit.report
from cfgaudit.cli import clock
from tests.cli.session import AFTER, KNOWN_GOOD, SHEET, Outcome, refused, run
from tests.cli.test_own_rules import RULE
from tests.house.checkout import ROOT

SCHEMA = json.loads((pathlib.Path(cfgaudit.report.__path__[0]) / "report.schema.json").read_text("utf-8"))
OTTER = (ROOT / SHEET).read_text("utf-8")
LINES = OTTER.count("\n")  # what is said about the rules begins on the line after these
TODAY = date(2026, 6, 1)
# All that may be accepted of what the preset did, and the one that may not.
OUTSIDE = (
    "{rule: osd/element-outside, at: osd.elements.craft_name, reason: nobody reads it, until: 2026-06-01}"
)
MAY = f"""\
accepted:
  - {OUTSIDE}
  - {{rule: osd/drive-does-not-fit, reason: known}}
  - {{rule: osd/displayport-not-used, reason: known}}
  - {{rule: osd/canvas-not-drawn, at: devices.video unit, reason: known}}
  - {{rule: receiver/link-differs, reason: known}}
  - {{rule: serial/job-on-wrong-port, reason: known}}
  - {{rule: serial/jobs-that-cannot-share, reason: known}}
"""
NEVER = "  - {rule: motor/pin-differs, at: motors.places.3, reason: it flew}\n"


@pytest.fixture(autouse=True)
def _on_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "today", lambda: TODAY)


def audited(said: str, folder: pathlib.Path, *more: str | pathlib.Path, dump: str = AFTER) -> Outcome:
    sheet = folder / "build.yaml"
    sheet.write_text(OTTER + said, "utf-8")
    return run("audit", dump, "--build", sheet, *more)


def data(said: str, folder: pathlib.Path, *more: str | pathlib.Path) -> Any:
    document = json.loads(audited(said, folder, "--format", "json", *more).out)
    jsonschema.Draft202012Validator(SCHEMA, registry=Registry()).validate(document)
    return document


def rules_of(findings: Any) -> set[str]:
    return {one["rule"] for root in findings for one in (root, *root["follows"])}


def test_an_accepted_finding_does_not_count(tmp_path: pathlib.Path) -> None:
    assert audited("", tmp_path).code == 1
    without_motor = (ROOT / AFTER).read_text("utf-8").replace("m3 pin C9", "m3 pin C8")
    (tmp_path / "dump.txt").write_text(without_motor, "utf-8")
    outcome = audited(MAY, tmp_path, dump=str(tmp_path / "dump.txt"))
    assert outcome.code == 0
    assert "no findings · 7 accepted · " in outcome.out


def test_it_is_told_with_reason_last_day_and_place(tmp_path: pathlib.Path) -> None:
    said = audited(MAY, tmp_path).out
    section = said.partition("Accepted: known, left as they are, not counted\n")[2].partition("\n\n")[0]
    assert section.count("reason    known") == 6
    assert (
        "WARNING  The craft name element takes columns 9 to 20 of row 22, but the canvas that video unit "
        "draws has columns 0 to 52 and rows 0 to 19.\n"
        "         reason    nobody reads it\n"
        f"         accepted  {tmp_path}/build.yaml:{LINES + 2}:5, until 2026-06-01\n"
        "         rule      osd/element-outside, at: osd.elements.craft_name"
    ) in section
    assert f"         accepted  {tmp_path}/build.yaml:{LINES + 3}:5, for good\n" in section


def test_data_tells_it_as_well(tmp_path: pathlib.Path) -> None:
    document = data(MAY + NEVER, tmp_path)
    assert rules_of(document["findings"]) == {"motor/pin-differs"}
    assert document["counts"]["accepted"] == len(document["accepted"]) == 7
    outside = document["accepted"][-1]
    assert (outside["finding"]["at"], outside["reason"], outside["until"], outside["where"]["line"]) == (
        "osd.elements.craft_name",
        "nobody reads it",
        "2026-06-01",
        LINES + 2,
    )
    (never,) = document["unheeded"]
    assert (never["rule"], never["at"], never["why"]) == ("motor/pin-differs", "motors.places.3", "never")


def test_what_nobody_may_accept_counts(tmp_path: pathlib.Path) -> None:
    outcome = audited(MAY + NEVER, tmp_path)
    assert outcome.code == 1
    assert (
        "Acceptances that accept nothing\n"
        "  motor/pin-differs, at: motors.places.3  cannot be accepted, its finding stays: Another motor "
        "starts than the one that is meant, and the aircraft flips over as it leaves the ground.\n"
        f"    {tmp_path}/build.yaml:{LINES + 9}:5\n"
    ) in outcome.out


def test_after_its_last_day_it_counts_again(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "today", lambda: date(2026, 6, 2))
    document = data(MAY, tmp_path)
    assert rules_of(document["findings"]) == {"motor/pin-differs", "osd/element-outside"}
    (expired,) = document["unheeded"]
    assert (expired["why"], expired["where"]["line"], expired["until"]) == (
        "expired",
        LINES + 2,
        "2026-06-01",
    )
    assert "expired, its last day was 2026-06-01: what it accepted is found again" in (
        audited(MAY, tmp_path).out
    )


def test_what_is_accepted_and_not_there_is_said(tmp_path: pathlib.Path) -> None:
    outcome = audited(MAY, tmp_path, dump=KNOWN_GOOD)
    assert outcome.code == 0
    assert outcome.out.count("  unused: nothing is left to accept, take the entry out.\n") == 7
    assert "Accepted" not in outcome.out


def test_what_is_accepted_is_not_mended(tmp_path: pathlib.Path) -> None:
    audited(MAY, tmp_path, "--mend", tmp_path / "mends.txt")
    lines = (tmp_path / "mends.txt").read_text("utf-8").splitlines()
    assert [line for line in lines if not line.startswith("~")] == ["out 3 turns m3 pin C8"]


@pytest.mark.parametrize(
    ("said", "place", "part"),
    [
        ("accepted:\n  - {rule: osd/element-outside}\n", "2:5", "lacks the key 'reason'; add 'reason'"),
        ("accepted:\n  - {rule: osd/elements-outside, reason: x}\n", "2:5", "did you mean osd/element-out"),
        ("accepted:\n  - {rule: osd/canvas-not-drawn, reason: x, until: soon}\n", "2:52", "year-month-day"),
        ("accepted:\n  - {rule: osd/canvas-not-drawn, reason: x, until: 2026-13-01}\n", "2:52", "calendar"),
        ("rules: {levels: {osd/canvas: {level: off, reason: x}}}\n", "1:18", "there is no rule osd/canvas; "),
        ("rules: {levels: {motor/pin-differs: {level: off, reason: x}}}\n", "1:18", "cannot be switched"),
        ("rules: {levels: {motor/pin-differs: {level: note, reason: x}}}\n", "1:18", "cannot be lowered: "),
        ("rules: {levels: {osd/canvas-not-drawn: {level: off}}}\n", "1:40", "lacks the key 'reason'"),
        ("rules: {folder: none}\n", "1:17", "no rules in "),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(said: str, place: str, part: str, tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    sheet.write_text(OTTER + said, "utf-8")
    line, _, column = place.partition(":")
    told = refused("audit", AFTER, "--build", sheet)
    assert told.startswith(f"{sheet}:{LINES + int(line)}:{column}: ")
    assert part in told


def test_other_commands_read_such_a_sheet(tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    sheet.write_text(OTTER + MAY, "utf-8")
    assert run("numbers", AFTER, "--build", sheet).code == 0
    assert run("diff", AFTER, AFTER, "--build", sheet).code == 0


# Levels and own rules

LEVELS = """\
rules:
  folder: club
  levels:
    osd/element-outside: {level: off, reason: nobody reads it}
    osd/canvas-not-drawn: {level: note, reason: the unit scales}
    club/warns-early: {level: error, reason: the field is long}
"""


@pytest.fixture
def club(tmp_path: pathlib.Path) -> pathlib.Path:
    (tmp_path / "club").mkdir()
    (tmp_path / "club" / "club.yaml").write_text(RULE, "utf-8")
    return tmp_path


def test_levels_are_changed_and_said_in_the_head(club: pathlib.Path) -> None:
    said = audited(LEVELS, club).out
    sheet = f"{club}/build.yaml"
    head = said.partition("\n\n")[0].splitlines()
    assert head[2:] == [
        f"{sheet}:{LINES + 4}:5: osd/element-outside is switched off: nobody reads it",
        f"{sheet}:{LINES + 5}:5: osd/canvas-not-drawn counts as note instead of error: the unit scales",
        f"{sheet}:{LINES + 6}:5: club/warns-early counts as error instead of warning: the field is long",
    ]
    assert "The craft name element" not in said
    assert "\nNOTE     The OSD's canvas is 60x22" in said
    assert "\nERROR    The pilot is warned at 3.6 V." in said


def test_data_tells_levels_as_well(club: pathlib.Path) -> None:
    weighed = data(LEVELS, club)["weighed"]
    assert [(one["rule"], one["own_level"], one["level"], one["reason"]) for one in weighed] == [
        ("osd/element-outside", "warning", "off", "nobody reads it"),
        ("osd/canvas-not-drawn", "error", "note", "the unit scales"),
        ("club/warns-early", "warning", "error", "the field is long"),
    ]


def test_a_folder_that_is_named_twice_is_read_once(club: pathlib.Path) -> None:
    outcome = audited("rules: {folder: club}\n", club, "--rules", club / "club")
    assert outcome.out.count("The pilot is warned at 3.6 V.") == 1


def test_the_folder_is_found_from_where_the_sheet_stands(
    club: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dump = str(ROOT / AFTER)
    (club / "build.yaml").write_text(OTTER + "rules: {folder: club}\n", "utf-8")
    monkeypatch.chdir(club.parent)
    assert "The pilot is warned" in run("audit", dump, "--build", f"{club.name}/build.yaml").out
    monkeypatch.chdir(club)
    assert "The pilot is warned" in run("audit", dump, "--build", "build.yaml").out


def test_an_own_rule_can_be_accepted(club: pathlib.Path) -> None:
    said = f"{LEVELS}accepted: [{{rule: club/warns-early, reason: known}}]\n"
    assert [one["finding"]["rule"] for one in data(said, club)["accepted"]] == ["club/warns-early"]


# From Python


def test_from_python(club: pathlib.Path) -> None:
    audited(LEVELS + MAY, club)
    reading, build = cfgaudit.read_dump(AFTER), cfgaudit.read_build(str(club / "build.yaml"))
    seen = cfgaudit.audit(reading, build, today=TODAY)
    assert {one.rule for one in seen.findings} == {"motor/pin-differs", "club/warns-early"}
    assert len(seen.accepted) == 6
    assert [one.rule for one in seen.weighed] == [
        "osd/element-outside",
        "osd/canvas-not-drawn",
        "club/warns-early",
    ]
    assert [one.text for one in seen.unheeded] == [
        "unused: the rule is switched off, or none of those that were asked."
    ]


def test_from_python_without_a_day(tmp_path: pathlib.Path) -> None:
    audited(MAY, tmp_path)
    reading, build = cfgaudit.read_dump(AFTER), cfgaudit.read_build(str(tmp_path / "build.yaml"))
    seen = cfgaudit.audit(reading, build)
    assert "osd/element-outside" in {one.rule for one in seen.findings}
    assert [one.why.value for one in seen.unheeded] == ["expired"]

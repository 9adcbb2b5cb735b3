"""Rules of one's own on the command line: checked by their cases, each fault shown where it stands."""

from __future__ import annotations

import pathlib

import pytest

from tests.cli.session import AFTER, SHEET, refused, run

HERE = "▸"  # stands in these texts before the character that a fault is about
RULE = """\
# Craft of the club.
- id: club/warns-early
  level: warning
  title: The pilot is warned late
  needs: [model.battery.cell_warn_v]
  expect: >-
    model.battery.cell_warn_v >= 3.65 &&
      model.battery.cell_warn_v < 4.2
  say: "The pilot is warned at {model.battery.cell_warn_v} V."
  why: Our field is long.
  basis: common practice
  cases:
    - holds: {model: {battery: {cell_warn_v: 3.7}}}
    - fails:
        model: {battery: {cell_warn_v: 3.5}}
        says: at 3.5 V
"""


def written(text: str, folder: pathlib.Path) -> pathlib.Path:
    file = folder / "club.yaml"
    file.write_text(text, "utf-8")
    return file


def place_of_mark(text: str) -> str:
    before = text[: text.index(HERE)]
    return f"{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"


def test_rules_that_are_as_they_say(tmp_path: pathlib.Path) -> None:
    written(RULE, tmp_path)
    outcome = run("rules", "check", tmp_path)
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.endswith(": all as they say\n")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "model.battery.cell_warn_v < 4.2",
            f"{HERE}mdel.x < 4.2",
            "nothing is called 'mdel' here; did you mean 'model'?",
        ),
        ("model.battery.cell_warn_v < 4.2", f"{HERE}sizze('a') < 4.2", "there is no function 'sizze' here"),
        ("model.battery.cell_warn_v < 4.2", f"'4' {HERE}+ 2 < 4.2", "'+' does not work with string and int"),
        ("model.battery.cell_warn_v < 4.2", f"x {HERE}and true", "Syntax error"),
        ("{model.battery.cell_warn_v}", f"{{{HERE}warn_v}}", "nothing is called 'warn_v' here"),
        ("level: warning", f"level: {HERE}loud", "'loud'"),
        ("level: warning", f"{HERE}levle: warning", "did you mean 'level'?"),
        ("- id: club/warns-early", f"- {HERE}id: battery/full-too-high", "the rule battery/full-too-high is"),
        ("  why", f"  follows: [{HERE}battery/cells-difer]\n  why", "did you mean battery/cells-differ?"),
    ],
)
def test_a_fault_is_shown_where_it_stands(old: str, new: str, said: str, tmp_path: pathlib.Path) -> None:
    before, after = RULE.rsplit(old, 1)
    text = before + new + after
    file = written(text.replace(HERE, ""), tmp_path)
    line = refused("rules", "check", tmp_path)
    assert line.startswith(f"{file}:{place_of_mark(text)}: ")
    assert said in line
    assert refused("audit", AFTER, "--build", SHEET, "--rules", tmp_path) == line


def test_a_rule_without_a_case_that_fails(tmp_path: pathlib.Path) -> None:
    file = written(RULE[: RULE.index("    - fails")], tmp_path)
    line = refused("rules", "check", tmp_path)
    assert line == f"{file}:2:3: the rule club/warns-early has no case that fails; add one under cases"


def test_a_case_that_is_answered_otherwise(tmp_path: pathlib.Path) -> None:
    file = written(RULE.replace("cell_warn_v: 3.5", "cell_warn_v: 3.65"), tmp_path)
    outcome = run("rules", "check", tmp_path)
    assert (outcome.code, outcome.err) == (1, "")
    assert f"{file}:15:9: club/warns-early should be 'fails' and is 'holds'\n" in outcome.out


def test_a_case_in_which_the_rule_ends_in_an_error(tmp_path: pathlib.Path) -> None:
    file = written(RULE.replace("cell_warn_v < 4.2", "cell_warn_v.size() < 4"), tmp_path)
    outcome = run("rules", "check", tmp_path)
    assert outcome.code == 1
    assert (
        f"{file}:13:14: club/warns-early should be 'holds' and is 'not_judged' (the rule itself fails: "
        in (outcome.out)
    )
    assert f", {file}:6:11)\n" in outcome.out

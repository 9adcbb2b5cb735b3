"""Rules of one's own on the command line: checked by their cases, each fault shown where it stands."""

from __future__ import annotations

import json
import pathlib

import pytest

from tests.cli.session import AFTER, SHEET, refused, run
from tests.house.checkout import ROOT

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


def test_the_readme_shows_such_a_line(tmp_path: pathlib.Path) -> None:
    sample = pathlib.Path("samples/heron/club-rules/battery.yaml")
    text = sample.read_text("utf-8").replace("expect: model", "expect: modle")
    line = refused("rules", "check", written(text, tmp_path).parent)
    shown = line.replace(str(tmp_path / "club.yaml"), str(sample))
    assert f"\n{shown}\n" in (ROOT / "README.md").read_text("utf-8")


# The list


def listed(*arguments: str | pathlib.Path) -> list[str]:
    """The ids that are listed."""
    outcome = run("rules", "list", *arguments)
    assert (outcome.code, outcome.err) == (0, "")
    return [line.split()[0] for line in outcome.out.splitlines() if "/" in line.partition(" ")[0]]


def test_the_list_stands_by_subject() -> None:
    groups = run("rules", "list").out.split("\n\n")
    subjects = [{line.partition("/")[0] for line in group.splitlines()} for group in groups[:-1]]
    assert all(len(one) == 1 for one in subjects)
    assert len(subjects) == len({*map(tuple, subjects)}) > 10
    assert groups[-1].startswith(f"{len(listed())} rules (")


def test_the_list_of_some() -> None:
    assert listed("compass") == ["sensor/alignment"]
    assert listed("--subject", "arming") == [id for id in listed() if id.startswith("arming/")]
    assert {*listed("--level", "note")} < {*listed()}
    assert listed("--subject", "osd", "--level", "warning", "OVERLAP") == ["osd/elements-overlap"]
    assert (
        run("rules", "list", "no such thing").out
        == "No rule is meant by that: cfgaudit rules list without words names them all.\n"
    )


def test_own_rules_are_listed_and_found(tmp_path: pathlib.Path) -> None:
    written(RULE, tmp_path)
    assert "club/warns-early" in listed("--rules", tmp_path)
    assert listed("--rules", tmp_path, "our", "FIELD") == ["club/warns-early"]
    assert listed("--rules", tmp_path, "--subject", "club") == ["club/warns-early"]


def test_the_list_as_data(tmp_path: pathlib.Path) -> None:
    document = json.loads(run("rules", "list", "--level", "note", "--format", "json").out)
    assert sorted(one["id"] for one in document["rules"]) == sorted(listed("--level", "note"))


def test_a_subject_that_there_is_not() -> None:
    assert refused("rules", "list", "--subject", "wings").startswith("no rule is about wings; name one of ")

"""Project files: which files belong to which craft, and what holds for all."""

from __future__ import annotations

import os
import pathlib

import jsonschema
import pytest

from cfgaudit.model.project import NAME, found_above, project_schema, read_project
from cfgaudit.model.refusal import Refusal
from tests.house.checkout import ROOT

SAMPLE = ROOT / "samples" / NAME


def written(folder: pathlib.Path, text: str) -> str:
    file = folder / NAME
    file.write_text(text, "utf-8")
    return str(file)


def refusal(folder: pathlib.Path, text: str) -> Refusal:
    with pytest.raises(Refusal) as refused:
        read_project(written(folder, text))
    return refused.value


def test_the_sample() -> None:
    project = read_project(str(SAMPLE))
    assert [one.name for one in project.craft] == ["otter", "heron", "vole"]
    for craft in project.craft:
        assert os.path.isfile(craft.build)
        assert os.path.isfile(craft.dump)


def test_files_are_named_from_where_the_project_file_stands(tmp_path: pathlib.Path) -> None:
    text = """\
craft:
  coot: {build: bench/coot.yaml, dialect: own/teal.yaml}
  teal: {build: /a/b.yaml, dialect: dunlin}
"""
    coot, teal = read_project(written(tmp_path, text)).craft
    assert coot.build == str(tmp_path / "bench" / "coot.yaml")
    assert coot.dialect == str(tmp_path / "own" / "teal.yaml")
    assert (teal.build, teal.dialect, teal.dump) == ("/a/b.yaml", "dunlin", "")


def test_what_is_said_of_all_comes_before_what_is_said_of_one(tmp_path: pathlib.Path) -> None:
    text = """\
craft:
  coot:
    build: coot.yaml
    rules: {folder: coot-rules, levels: {filter/none: {level: "off", reason: none here}}}
    accepted: [{rule: motor/poles, reason: known}]
  teal: {build: teal.yaml}
rules:
  folder: club-rules
  levels:
    filter/none: {level: note, reason: seldom}
    video/radar: {level: error, reason: near a field}
"""
    coot, teal = read_project(written(tmp_path, text)).craft
    assert [(one.rule, one.level) for one in coot.terms.levels] == [
        ("video/radar", "error"),
        ("filter/none", "off"),
    ]
    assert [one.path for one in coot.terms.folders] == [
        str(tmp_path / "club-rules"),
        str(tmp_path / "coot-rules"),
    ]
    assert [one.rule for one in coot.terms.accepted] == ["motor/poles"]
    assert [(one.rule, one.level) for one in teal.terms.levels] == [
        ("filter/none", "note"),
        ("video/radar", "error"),
    ]
    assert teal.terms.accepted == ()


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("", 1, "empty"),
        ("craft: {}\n", 1, "craft"),
        ("craft:\n  coot: {}\n", 2, "build"),
        ("craft:\n  coot: {build: a.yaml, dmup: b.txt}\n", 2, "dmup"),
        ("craft:\n  'a coot': {build: a.yaml}\n", 2, "a coot"),
        ("craft:\n  -x: {build: a.yaml}\n", 2, "-x"),
        ("craft: {coot: {build: a.yaml}}\naccepted: []\n", 2, "accepted"),
        (
            "craft:\n  coot:\n    build: a.yaml\n    accepted: [{rule: a/b, reason: x, until: 2027-02-30}]\n",
            4,
            "no calendar",
        ),
        ("craft: {coot: {build: a.yaml}, coot: {build: b.yaml}}\n", 1, "twice"),
    ],
)
def test_faults_have_their_place(tmp_path: pathlib.Path, text: str, line: int, what: str) -> None:
    fault = refusal(tmp_path, text)
    assert fault.place is not None
    assert fault.place.line == line
    assert what in str(fault)


def test_it_is_found_in_the_folder_or_above(tmp_path: pathlib.Path) -> None:
    below = tmp_path / "a" / "b"
    below.mkdir(parents=True)
    assert found_above(str(below)) == ""
    written(tmp_path, "craft: {coot: {build: a.yaml}}\n")
    assert found_above(str(below)) == os.path.join("..", "..", NAME)
    written(below, "craft: {teal: {build: a.yaml}}\n")
    assert found_above(str(below)) == NAME


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(project_schema())

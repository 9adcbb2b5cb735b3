"""Workflow commands: read back as a runner reads them, nothing but ours begins one."""

from __future__ import annotations

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cfgaudit.model.place import Place
from cfgaudit.report.cautions import AUDIT_LIMIT
from cfgaudit.report.github import command, github
from cfgaudit.report.paper import Audited
from cfgaudit.report.safe import safe
from tests.report.crafts import EVERY, HOSTILE
from tests.report.snapshot import FOLDER, assert_as_kept

KEPT = {"audit.github": "audit", "audits.github": "several"}
# ::name key=value,key=value::message, as the documentation of workflow commands has it
COMMAND = re.compile(r"::(error|warning|notice) ([^:]*)::(.*)")


def read(line: str) -> tuple[str, dict[str, str], str]:
    """A command, its properties and its message, without the escapes."""
    found = COMMAND.fullmatch(line)
    assert found, line
    pairs = (pair.split("=", 1) for pair in found[2].split(","))
    return found[1], {key: without_escapes(value) for key, value in pairs}, without_escapes(found[3])


def without_escapes(text: str) -> str:
    assert not re.search(r"%(?!25|0D|0A|3A|2C)", text)
    for escape, character in (("%0D", "\r"), ("%0A", "\n"), ("%3A", ":"), ("%2C", ","), ("%25", "%")):
        text = text.replace(escape, character)
    return text


@pytest.mark.parametrize("name", KEPT)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, "".join(f"{line}\n" for line in github(EVERY[KEPT[name]])))


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("*.github")} == KEPT.keys()


@pytest.mark.parametrize("name", EVERY)
class TestEveryReport:
    def test_each_line_is_one_command(self, name: str) -> None:
        lines = [*github(EVERY[name])]
        assert lines
        for line in lines:
            assert line.isprintable()
            _, properties, message = read(line)
            assert {*properties} <= {"file", "line", "col", "title"}
            assert message

    def test_the_last_of_each_craft_counts_and_says_the_limit(self, name: str) -> None:
        said = [read(line)[2] for line in github(EVERY[name])]
        audited = sum(isinstance(one, Audited) for one in EVERY[name])
        assert sum(message.endswith(f"not judged\n{AUDIT_LIMIT}") for message in said) == audited


def test_hostile_text_is_written_out() -> None:
    assert all("\\x1b" in "".join(github(crafts)) for crafts in HOSTILE.values())


@given(st.text(), st.text(), st.text())
@example("::error::x", "a%0A::warning::", "##[debug]b")
@example("x\n::stop-commands::y", "a,line=9", "%25%0A%3A")
def test_a_text_comes_through_and_does_nothing(file: str, title: str, message: str) -> None:
    line = command("error", Place(file, 7, 3), title, [message, message])
    assert line.isprintable()
    name, properties, said = read(line)
    assert name == "error"
    assert properties == {"file": safe(file), "line": "7", "col": "3", "title": safe(title)}
    assert said == f"{safe(message)}\n{safe(message)}"


def test_levels_are_those_that_github_knows() -> None:
    assert [read(line)[0] for line in github(EVERY["audit"])] == [
        "error",
        "error",
        "warning",
        "notice",
        "notice",
    ]


def test_what_is_no_file_is_not_pointed_into() -> None:
    files = [read(line)[1].get("file") for line in github(EVERY["loose"])]
    assert "after.txt" not in files
    assert "build.yaml" in files


def test_a_craft_that_cannot_be_audited_is_an_error() -> None:
    faults = [read(line) for line in github(EVERY["several"]) if "not audited" in line]
    assert faults == [
        (
            "error",
            {"file": "heron/known good.txt", "line": "1", "col": "1", "title": "heron: not audited"},
            "there is no such file; check the name and the folder",
        )
    ]

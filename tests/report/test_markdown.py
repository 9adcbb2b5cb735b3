"""Markdown says what it says: nothing that comes from a file acts on the page."""

from __future__ import annotations

import re
import string
from collections.abc import Iterable

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cfgaudit.report.bench.bench import bench_text
from cfgaudit.report.bench.markdown import bench_markdown
from cfgaudit.report.cautions import BENCH_LIMIT, STANDING
from cfgaudit.report.markdown import fenced, plain
from cfgaudit.report.safe import safe
from tests.report.bench_steps import BENCH_DIFF, BENCH_PAPER, BENCH_SHORT, CHANGED_STEPS, SHORT, STEPS
from tests.report.hostile import hostile
from tests.report.snapshot import FOLDER, assert_as_kept

LISTS = {
    "bench.md": (BENCH_PAPER, STEPS),
    "bench-short.md": (BENCH_SHORT, SHORT),
    "bench-diff.md": (BENCH_DIFF, CHANGED_STEPS),
}
ALL = {**LISTS, "hostile": hostile((BENCH_PAPER, STEPS))}


def text(lines: Iterable[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def unescaped(marked: str) -> str:
    """What CommonMark shows of a text: a backslash before ASCII punctuation is not seen."""
    return re.sub(rf"\\([{re.escape(string.punctuation)}])", r"\1", marked)


@pytest.mark.parametrize("name", LISTS)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, text(bench_markdown(*LISTS[name])))


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("bench*.md")} == {*LISTS}


@given(st.text() | st.text("-+=0123456789.) "))
@example("`a` *b* _c_ [d](e) <f> &amp; ~~g~~ | h # i @j $k$")
@example("https://a.b www.a.b WWW.a.b")
@example("\x1b[31m\u202e")
def test_a_text_comes_through(raw: str) -> None:
    marked = plain(raw)
    assert marked.isprintable()
    assert unescaped(marked) == safe(raw).strip(" ")


@given(st.text(string.punctuation + "w1 a"))
@example("http://a.b")
@example("- a")
@example("12) a")
@example("1. a")
@example("    code")
@example("= heading")
def test_nothing_in_a_text_acts(raw: str) -> None:
    marked = plain(raw)
    bare = re.sub(rf"\\[{re.escape(string.punctuation)}]", "", marked)
    assert not re.search(r"[\\`*_\[\]<>&~|#@$]", bare)
    assert not re.search(r"(?i)www\.|(?<!\\)://", marked)
    assert not re.match(r" |[-+=]|[0-9]{1,9}[.)]", marked)


@given(st.lists(st.text("`~ ab\x1b\n"), max_size=4))
def test_lines_cannot_leave_their_fence(lines: list[str]) -> None:
    fence, *inside, end = fenced(lines)
    assert fence == f"{end}text"
    assert set(end) == {"`"}
    assert len(end) >= 3
    assert inside == [safe(line) for line in lines]
    assert not any(end in line for line in inside)


@pytest.mark.parametrize("name", ALL)
class TestEveryList:
    def test_lines_are_printable(self, name: str) -> None:
        assert all(line.isprintable() for line in bench_markdown(*ALL[name]))

    def test_a_box_for_every_step_and_row(self, name: str) -> None:
        paper, steps = ALL[name]
        lines = [*bench_markdown(paper, steps)]
        assert sum(line.startswith("- [ ] ") for line in lines) == len(steps)
        assert sum(line.startswith("  - [ ] ") for line in lines) == sum(len(step.rows) for step in steps)

    def test_the_same_boxes_as_in_text(self, name: str) -> None:
        paper, steps = ALL[name]
        boxes = [
            line.count("[ ]") for line in (text(bench_text(paper, steps)), text(bench_markdown(paper, steps)))
        ]
        assert boxes[0] == boxes[1]

    def test_headings_are_those_of_the_list(self, name: str) -> None:
        paper, steps = ALL[name]
        headings = [line for line in bench_markdown(paper, steps) if line.startswith("#")]
        assert len(headings) == 1 + len({step.stage.number for step in steps})

    def test_cautions_stand_at_the_end(self, name: str) -> None:
        said = unescaped(text(bench_markdown(*ALL[name])))
        assert all(sentence in said for sentence in (*STANDING, BENCH_LIMIT))
        assert not re.search(r"\bsafe\b", said.replace(BENCH_LIMIT, ""))


def test_lines_that_cannot_be_shown_are_not_to_be_pasted() -> None:
    said = text(bench_markdown(*ALL["hostile"]))
    assert "Do not paste these" in said
    assert "Do not paste these" not in text(bench_markdown(*LISTS["bench.md"]))

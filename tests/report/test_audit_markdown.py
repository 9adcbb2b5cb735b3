"""Markdown for a pull request, as GitHub's own parser (cmarkgfm) reads it."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser

import cmarkgfm
import pytest
from cmarkgfm.cmark import Options
from msgspec.structs import replace

from cfgaudit.audit.finding import Audit
from cfgaudit.report.audit_markdown import audit_markdown
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING
from cfgaudit.report.paper import Audited
from tests.report.crafts import EVERY, HOSTILE
from tests.report.otter import PAPER, WRONG_PAD
from tests.report.snapshot import FOLDER, assert_as_kept

KEPT = {"audit.md": "audit", "audits.md": "several"}
TAGS = {"h2", "p", "hr", "ul", "li", "strong", "table", "thead", "tbody", "tr", "th", "td", "pre", "code"}
FOLDS = {"details", "summary"}
ACTIVE = "<b>x</b> ![i](j) [a](b) https://a.b <!-- c --> </details> `d` | e @f #1 **g** &lt; :h:"


def text(name: str, *, show_why: bool = True) -> str:
    return "".join(f"{line}\n" for line in audit_markdown(EVERY[name], show_why=show_why))


def html(markdown: str) -> str:
    """What GitHub makes of it, our own elements as they are."""
    return str(cmarkgfm.github_flavored_markdown_to_html(markdown, options=Options.CMARK_OPT_UNSAFE))


class Seen(HTMLParser):
    """The elements of a page, and whether each was closed in its turn."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.open: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes += attrs
        self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_comment(self, data: str) -> None:
        raise AssertionError(data)


@pytest.mark.parametrize("name", KEPT)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, text(KEPT[name]))


@pytest.mark.parametrize("name", EVERY)
class TestEveryReport:
    def test_lines_are_printable(self, name: str) -> None:
        assert all(line.isprintable() for line in text(name).split("\n"))

    def test_no_element_but_those_of_the_report(self, name: str) -> None:
        seen = Seen(html(text(name)))
        assert {*seen.names} <= TAGS | FOLDS
        assert {attribute for attribute, _ in seen.attributes} <= {"lang"}
        assert seen.open == []

    def test_as_many_folds_as_there_is_to_fold(self, name: str) -> None:
        wanted = 0
        for one in EVERY[name]:
            if isinstance(one, Audited):
                audit = one.audit
                parts = (audit.accepted, audit.unheeded, audit.weighed, audit.not_judged)
                wanted += len(audit.findings) + sum(map(bool, parts))
        seen = Seen(html(text(name)))
        assert [seen.names.count(fold) for fold in sorted(FOLDS)] == [wanted, wanted]

    def test_a_row_for_each_finding(self, name: str) -> None:
        found = [len(one.audit.findings) for one in EVERY[name] if isinstance(one, Audited)]
        names = Seen(html(text(name))).names
        assert names.count("tr") == sum(found) + sum(map(bool, found))
        assert names.count("td") == 3 * sum(found)

    def test_a_heading_for_each_craft(self, name: str) -> None:
        assert Seen(html(text(name))).names.count("h2") == len(EVERY[name])

    def test_cautions_stand_at_the_end_and_once(self, name: str) -> None:
        said = unescape(re.sub("<[^>]*>", "", html(text(name))))
        foot = said.rstrip()[-1000:]
        assert all(sentence in foot for sentence in STANDING)
        assert foot.endswith(AUDIT_LIMIT)
        assert said.count(AUDIT_LIMIT) == 1
        assert not re.search(r"\bsafe\b", said.replace(AUDIT_LIMIT, ""))


def test_hostile_text_is_written_out() -> None:
    assert all("\\\\x1b" in text(name) for name in HOSTILE)


def test_nothing_in_a_text_acts() -> None:
    finding = replace(WRONG_PAD, text=ACTIVE, why=f"- {ACTIVE}", title=ACTIVE, rule=ACTIVE)
    page = html("\n".join(audit_markdown([Audited(ACTIVE, PAPER, Audit((finding,), (), ()))])))
    seen = Seen(page)
    assert {*seen.names} <= TAGS | FOLDS
    assert seen.names.count("details") == 1
    assert unescape(re.sub("<[^>]*>", "", page)).count(ACTIVE) == 5


def test_reasons_may_be_left_out() -> None:
    assert "why: " in text("audit")
    assert "why: " not in text("audit", show_why=False)


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("audit*.md")} == KEPT.keys()

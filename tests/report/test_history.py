from __future__ import annotations

from cfgaudit.report.history import history_text
from tests.report.histories import EVERY, LOG, SINCE
from tests.report.hostile import hostile
from tests.report.snapshot import assert_as_kept


def test_reads_as_kept() -> None:
    text = "\n".join((*history_text(*EVERY), "", *history_text(*SINCE), ""))
    assert_as_kept("history.txt", text)


def test_no_change() -> None:
    rows = [*history_text("osd", "a.txt", "", LOG, ())]
    assert rows[0] == "osd in a.txt: no changes · 4 commits"


def test_is_safe() -> None:
    assert all(row.isprintable() for row in history_text(*hostile(EVERY)))

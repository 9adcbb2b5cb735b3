from __future__ import annotations

import re
from collections.abc import Callable, Iterable

import pytest
from msgspec.structs import replace

from cfgaudit.audit.finding import Audit, Finding, Mend
from cfgaudit.compare.change import Weight
from cfgaudit.model.place import Place
from cfgaudit.report.audit import audit_text
from cfgaudit.report.baseline.history import history_text
from cfgaudit.report.bench.bench import bench_text
from cfgaudit.report.build import build_text
from cfgaudit.report.cautions import AUDIT_LIMIT, BENCH_LIMIT, DIFF_LIMIT, HAZARDS, STANDING
from cfgaudit.report.diff import diff_text
from cfgaudit.report.fleet.fleet import fleet_text
from cfgaudit.report.rules import explain_text, rules_list_text
from cfgaudit.report.style import COLOUR, Style
from tests.report.bench_steps import (
    BENCH_DIFF,
    BENCH_PAPER,
    BENCH_SHORT,
    CHANGED_STEPS,
    SHORT,
    STEPS,
)
from tests.report.fleets import FLEET, QUIET_FLEET
from tests.report.histories import EVERY, LOG, SINCE
from tests.report.hostile import hostile
from tests.report.otter import (
    AUDIT,
    BUILD,
    BUILD_PAPER,
    CALM,
    CAPTURE,
    CHANGED,
    CLEAN,
    DIFF_PAPER,
    DUMP,
    KNOWN,
    LEFT_OUT,
    LINES_CHANGED,
    MUTE,
    PAPER,
    RULES,
    STRONG_RADIO,
    WITHOUT_DIALECT,
    WRONG_PAD,
    WRONG_PORT,
    Changes,
)
from tests.report.snapshot import FOLDER, assert_as_kept

UNNAMED = replace(
    PAPER,
    dump=replace(CAPTURE, firmware="", version="", board="", extent="changed", keep_with=""),
    build=replace(BUILD, craft="", devices=1, motors=1, notes=("Read as UTF-8 after a byte-order mark.",)),
)
HOSTILE = hostile((PAPER, AUDIT, DIFF_PAPER, CHANGED, RULES, BENCH_PAPER, STEPS, KNOWN))
HOSTILE_BUILD = hostile((BUILD_PAPER, AUDIT, LEFT_OUT))


def text(lines: Iterable[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def only(finding: Finding) -> Audit:
    return Audit((finding,), (), ())


REPORTS: dict[str, Callable[[Style], Iterable[str]]] = {
    "audit.txt": lambda style: audit_text(PAPER, AUDIT, style),
    "audit-brief.txt": lambda style: audit_text(UNNAMED, AUDIT, style, show_not_judged=True, show_why=False),
    "audit-clean.txt": lambda style: audit_text(PAPER, CLEAN, style),
    "audit-mute.txt": lambda style: audit_text(PAPER, MUTE, style),
    "audit-accepted.txt": lambda style: audit_text(PAPER, KNOWN, style),
    "audit-only-accepted.txt": lambda style: audit_text(PAPER, CALM, style),
    "audit-accepted-hostile.txt": lambda style: audit_text(HOSTILE[0], HOSTILE[7], style),
    "audit-hostile.txt": lambda style: audit_text(*HOSTILE[:2], style, show_not_judged=True),
    "bench.txt": lambda style: bench_text(BENCH_PAPER, STEPS, style),
    "bench-short.txt": lambda style: bench_text(BENCH_SHORT, SHORT, style),
    "bench-diff.txt": lambda style: bench_text(BENCH_DIFF, CHANGED_STEPS, style),
    "bench-hostile.txt": lambda style: bench_text(*HOSTILE[5:7], style),
    "build.txt": lambda style: build_text(BUILD_PAPER, AUDIT, LEFT_OUT, style),
    "build-clean.txt": lambda style: build_text(BUILD_PAPER, CLEAN, (), style),
    "build-mute.txt": lambda style: build_text(BUILD_PAPER, MUTE, LEFT_OUT[:1], style),
    "build-hostile.txt": lambda style: build_text(*HOSTILE_BUILD, style),
    "diff.txt": lambda style: diff_text(DIFF_PAPER, CHANGED, style),
    "diff-none.txt": lambda style: diff_text(DIFF_PAPER, Changes(()), style),
    "diff-without-dialect.txt": lambda style: diff_text(WITHOUT_DIALECT, LINES_CHANGED, style),
    "diff-hostile.txt": lambda style: diff_text(*HOSTILE[2:4], style),
    "explain.txt": lambda style: explain_text(RULES[1], style),
    "explain-follows.txt": lambda style: explain_text(RULES[0], style),
    "explain-hostile.txt": lambda style: explain_text(HOSTILE[4][1], style),
    "history.txt": lambda style: history_text(*EVERY, style),
    "history-since.txt": lambda style: history_text(*SINCE, style),
    "history-none.txt": lambda style: history_text("osd", "a.txt", "", LOG, (), style),
    "history-hostile.txt": lambda style: history_text(*hostile(EVERY), style),
    "rules.txt": lambda style: rules_list_text(RULES, style),
    "fleet.txt": lambda style: fleet_text(FLEET, style),
    "fleet-all.txt": lambda style: fleet_text(FLEET, style, everything=True),
    "fleet-quiet.txt": lambda style: fleet_text(QUIET_FLEET, style),
    "fleet-hostile.txt": lambda style: fleet_text(hostile(FLEET), style, everything=True),
    "rules-hostile.txt": lambda style: rules_list_text(HOSTILE[4], style),
}


# Kept nowhere: what matters of these is what every report must hold, and nobody reads them.
KEPT = [name for name in REPORTS if "hostile" not in name]


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("*.txt")} == {*KEPT}


@pytest.mark.parametrize("name", KEPT)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, text(REPORTS[name](Style())))


@pytest.mark.parametrize("name", sorted(REPORTS.keys() - {*KEPT}))
def test_hostile_text_is_written_out(name: str) -> None:
    assert "\\x1b[31m\\x1b]0;x\\x07" in text(REPORTS[name](Style()))


@pytest.mark.parametrize("name", REPORTS)
class TestEveryReport:
    def test_plain_lines_hold_nothing_that_steers_a_terminal(self, name: str) -> None:
        assert all(line.isprintable() for line in REPORTS[name](Style()))

    def test_colour_adds_colour_and_nothing_else(self, name: str) -> None:
        coloured = text(REPORTS[name](COLOUR))
        assert "\x1b[" in coloured
        assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == text(REPORTS[name](Style()))

    def test_nothing_is_called_safe_to_fly(self, name: str) -> None:
        said = text(REPORTS[name](Style()))
        for limit in (AUDIT_LIMIT, BENCH_LIMIT, DIFF_LIMIT):
            said = said.replace(limit, "")
        assert not re.search(r"\bsafe\b", said)

    def test_no_line_ends_in_blanks(self, name: str) -> None:
        assert all(line == line.rstrip() for line in REPORTS[name](Style()))


@pytest.mark.parametrize("audit", [AUDIT, CLEAN, MUTE, KNOWN, CALM])
def test_standing_cautions_are_always_there(audit: Audit) -> None:
    report = text(audit_text(PAPER, audit, show_why=False))
    assert all(sentence in report for sentence in (*STANDING, AUDIT_LIMIT))


@pytest.mark.parametrize(
    ("finding", "words"),
    [(WRONG_PAD, {"propellers"}), (STRONG_RADIO, {"radio"}), (WRONG_PORT, {"meter"})],
)
def test_cautions_for_the_hazards_there_are(finding: Finding, words: set[str]) -> None:
    report = " ".join(text(audit_text(PAPER, only(finding))).split())
    assert {word for word, caution in HAZARDS.items() if caution.sentence in report} == words


def test_what_is_accepted_can_hurt_as_well() -> None:
    report = " ".join(text(audit_text(PAPER, CALM)).split())
    assert HAZARDS["radio"].sentence in report


def test_a_hazard_of_a_rule_of_ones_own() -> None:
    report = text(audit_text(PAPER, only(replace(STRONG_RADIO, hazard="hot"))))
    assert "! can hurt: hot" in report
    assert "this can hurt (hot): read its reason before you test" in report


def test_lines_to_paste_stand_alone_and_whole() -> None:
    long = " ".join(["tune", *map(str, range(500))])
    report = [
        line.strip() for line in audit_text(PAPER, only(replace(WRONG_PORT, mend=Mend((long, "x"), ()))))
    ]
    at = report.index(long)
    assert report[at - 1] == "mend      paste these 2 lines, then type: keep"
    assert report[at + 1] == "x"


def test_lines_that_cannot_be_shown_are_not_to_be_pasted() -> None:
    report = text(audit_text(PAPER, only(replace(WRONG_PORT, mend=Mend(("name := a\xa0b",), ())))))
    assert "do not paste this line" in report
    assert "name := a\\xa0b" in report


def test_a_mend_in_part() -> None:
    report = text(
        audit_text(PAPER, only(replace(WRONG_PORT, mend=Mend(("out 3 pin C8",), (), "no word for x"))))
    )
    assert "nothing more to paste: no word for x" in report


def test_weightiest_first() -> None:
    levels = [line.split()[0] for line in audit_text(PAPER, AUDIT) if re.match("[A-Z]+ {2}", line)]
    assert levels == ["ERROR", "ERROR", "WARNING", "NOTE"]


def test_a_why_is_one_line() -> None:
    (why,) = [line for line in audit_text(PAPER, only(WRONG_PORT)) if line.startswith(" " * 9 + "why")]
    assert why.endswith("A device hears only the line that it is soldered to, e.g. UART4.")


def test_lines_from_files_are_cut_where_they_are_only_shown() -> None:
    sight = replace(WRONG_PAD.found[0], text="x" * 1000)
    (line,) = [one for one in audit_text(PAPER, only(replace(WRONG_PAD, found=(sight,)))) if "xxx" in one]
    assert line.endswith("x…")
    assert len(line) < 200


def test_extents_that_differ_are_said() -> None:
    report = text(diff_text(replace(DIFF_PAPER, after=replace(DUMP, extent="changed")), CHANGED))
    assert "The extents differ" in report
    assert "The extents differ" not in text(diff_text(DIFF_PAPER, CHANGED))


def test_any_change_has_the_standing_cautions() -> None:
    calm = tuple(change for change in CHANGED.changes if change.weight is not Weight.HURT)
    assert calm
    text = "\n".join(diff_text(DIFF_PAPER, replace(CHANGED, changes=calm)))
    assert all(sentence in text for sentence in STANDING)
    assert f"! {HAZARDS['propellers'].mark}" not in text


def test_a_row_that_sums_up_much_has_its_first_place_and_a_count() -> None:
    change = CHANGED.changes[0]
    places = tuple(Place("a.txt", line, 1) for line in range(1, 15))
    for number, shown in ((3, "a.txt:1:1, a.txt:2:1, a.txt:3:1"), (14, "a.txt:1:1 and 13 more places")):
        one = replace(change, after=places[:number])
        assert shown in "\n".join(diff_text(DIFF_PAPER, replace(CHANGED, changes=(one,))))

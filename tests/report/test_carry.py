"""How a firmware update is told: words, order, colours, and what must never be in it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date
from functools import cache

import pytest
from msgspec.structs import replace

from cfgaudit import read_build, read_dump
from cfgaudit.audit.book import rules_by
from cfgaudit.cli.heads import build_head, dump_head
from cfgaudit.compare.carry.arrived import arrival
from cfgaudit.compare.carry.carry import plan
from cfgaudit.compare.carry.checked import checked
from cfgaudit.compare.carry.fate import Fate
from cfgaudit.compare.judge import Judge
from cfgaudit.dialect.reading import Reading
from cfgaudit.report.as_json import json_text
from cfgaudit.report.carry.carry import carry_text
from cfgaudit.report.carry.data import carry_json
from cfgaudit.report.carry.paper import CarryNote, CarryPaper, Update
from cfgaudit.report.carry.words import doubtful, from_words, shift_words
from cfgaudit.report.cautions import CARRY_LIMIT, STANDING
from cfgaudit.report.style import COLOUR, PLAIN
from tests.house.checkout import ROOT
from tests.report.hostile import HOSTILE, hostile
from tests.report.test_as_json import SCHEMA, closed, validator

HERON = ROOT / "samples" / "heron"
NAMES = {
    "old": "factory-2.3.1.txt",
    "mine": "known-good.txt",
    "new": "factory-3.0.txt",
    "after": "after-update.txt",
}
SGR = re.compile(r"\x1b\[[0-9;]*m")


def reading(name: str, *changes: tuple[str, str]) -> Reading:
    text = (HERON / NAMES[name]).read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return read_dump(NAMES[name], "dunlin", text.encode())


@cache
def update(*, later: bool = False, sheet: bool = False) -> tuple[CarryPaper, Update]:
    old, mine, new, after = map(reading, NAMES)
    return told(old, mine, new, (after,) if later else (), sheet)


def told(
    old: Reading, mine: Reading, new: Reading, after: tuple[Reading, ...] = (), sheet: bool = False
) -> tuple[CarryPaper, Update]:
    made = plan(old, mine, new)
    build = read_build(str(HERON / "build.yaml"))
    judge = Judge(build, rules_by(build.terms), build.terms, date(2026, 1, 1))
    result = after[0] if after else made.planned
    paper = CarryPaper(
        "0.1.0",
        *(dump_head(one) for one in (old, mine, new)),
        after=tuple(map(dump_head, after)),
        build=(build_head(build),) if sheet else (),
        notes=(CarryNote("One warns.", warns=True), CarryNote("One does not.")),
    )
    audits = (checked(made, result, judge),) if sheet else ()
    return paper, Update(made, tuple(arrival(made, one) for one in after), audits)


def shown(one: tuple[CarryPaper, Update], **more: bool) -> list[str]:
    return [*carry_text(*one, PLAIN, **more)]


def kinds() -> Iterator[tuple[CarryPaper, Update]]:
    for later in (False, True):
        for sheet in (False, True):
            yield update(later=later, sheet=sheet)


def test_colour_is_all_that_differs() -> None:
    for one in kinds():
        for everything in (False, True):
            coloured = [*carry_text(*one, COLOUR, show_all=everything)]
            assert [SGR.sub("", line) for line in coloured] == shown(one, show_all=everything)
            assert coloured != shown(one, show_all=everything)


def test_it_never_says_that_it_is_safe() -> None:
    for one in kinds():
        lines = shown(one, show_all=True)
        assert lines[-1] == CARRY_LIMIT
        text = "\n".join(lines[:-1]) + json_text(carry_json(*one)).replace(CARRY_LIMIT, "")
        assert not re.search(r"\bsafe\b", text)
        assert all(sentence in " ".join(lines) for sentence in STANDING)


def test_no_line_comes_twice_before_the_script() -> None:
    lines = shown(update(sheet=True))
    before = [line for line in lines[: lines.index('craft = "heron"')] if line]
    assert len(before) == len({*before})


def test_the_data_holds_nothing_that_the_schema_does_not_know() -> None:
    for one in kinds():
        assert not [error.message for error in validator(closed(SCHEMA)).iter_errors(carry_json(*one))]


def test_what_can_hurt_comes_first() -> None:
    lines = shown(update())
    first = next(line for line in lines if line.startswith(("CONFLICT", "REFUSED", "GONE")))
    assert first.endswith("! can hurt")
    moved = lines.index("Changed without you: 6 settings that you had left alone")
    assert lines[moved + 1 : moved + 4 : 2] == ["  can hurt", "  the rest"]


def test_the_most_urgent_comes_first() -> None:
    heads = ["For you to decide", "Your dump does not tell", "Carried over, written otherwise"]
    heads += ["As the new firmware comes anyway", "Carried over as they are", "Changed without you"]
    heads += ["New in this firmware", "Gone, that you", "The result held against", "The script:"]
    heads += ["After the script, these lines mend", "Then type: remember", "The result: 1 error"]
    lines = shown(update(sheet=True))
    at = [next(n for n, line in enumerate(lines) if line.startswith(head)) for head in heads]
    assert at == sorted(at)


def test_a_later_dump_is_told_first_and_without_the_script() -> None:
    lines = shown(update(later=True, sheet=True))
    summary = next(n for n, line in enumerate(lines) if line.startswith("You had changed"))
    assert lines[summary + 2] == "Did not arrive: 6 of 214 that were to be carried over; 208 arrived"
    assert sum(line.startswith("MISSING") for line in lines) == 6
    assert "There, and not explained by the plan: 3 changes" in lines
    assert not any(line.startswith("The script") or line == 'craft = "heron"' for line in lines)
    assert not any(line.startswith("Carried over") for line in lines)


def test_nothing_missing_is_said() -> None:
    paper, planned = update()
    lines = shown((paper, replace(planned, arrival=(arrival(planned.plan, planned.plan.planned),))))
    assert "Arrived: all 214 that were to be carried over" in lines
    assert "Nothing is there that the plan does not explain" in lines


def test_without_a_sheet_one_line_says_how_to_have_an_audit() -> None:
    said = [line for line in shown(update()) if "audited" in line]
    assert said == ["Nothing was audited: with --build SHEET the result is held against what is soldered."]
    assert not [line for line in shown(update(sheet=True)) if "Nothing was audited" in line]


def test_where_findings_come_from() -> None:
    planned = update(sheet=True)[1]
    fates = {one.triple.named.label: one for one in planned.plan.carried}
    names = ["craft", "pack / cell-flat", "lost-link / sink-time", "tuning 3 / called"]
    assert [*from_words([fates[name] for name in names], planned)] == [
        "craft: carried over from known-good.txt:5:9",
        "pack / cell-flat: not carried over: changed by you and by the firmware at known-good.txt:320:13",
        "lost-link / sink-time: as you had it, and as the firmware comes",
        f"tuning 3 / called: your dump does not tell it, so left as it comes at {_place_of_called()}",
    ]
    moved = next(one for one in planned.plan.moved if one.triple.named.label == "motors / turning")
    assert shift_words(moved) == "props in → out"
    assert [*from_words([moved], planned)] == [
        "motors / turning: the firmware's own new value, props in → out"
    ]
    done = update(later=True, sheet=True)[1]
    scale = next(one for one in done.plan.carried if one.triple.named.label == "pack / shunt-scale")
    assert [*from_words([scale], done)] == ["pack / shunt-scale: did not arrive"]


def _place_of_called() -> str:
    new = reading("new")
    entry = next(one for one in new.entries if one.label == "tuning 3 / called")
    return str(entry.place_of("value"))


def test_what_is_not_told_is_not_doubtful() -> None:
    made = update()[1].plan
    assert {one.fate for one in doubtful(made)} == {Fate.CONFLICT, Fate.NOT_ALLOWED, Fate.GONE}
    assert len(doubtful(made)) == 5


def test_lines_that_nobody_understands_are_listed() -> None:
    mine = reading("mine", ("[pack]\n", "[pack]\nodd-one = 17\n"))
    one = told(reading("old"), mine, reading("new"))
    lines = shown(one)
    at = lines.index("Lines of yours that nobody here understands: they are not carried over")
    assert "odd-one = 17" in lines[at + 1]
    assert "known-good.txt:" in lines[at + 1]


def test_hostile_text_is_written_out() -> None:
    spoilt = HOSTILE.replace("\r", "").replace("\n", "").replace("\0", "")
    changes = [
        ('craft = "heron"', f'craft = "he{spoilt}ron"'),
        ("[pack]\n", f"[pack]\nodd{spoilt} = 1{spoilt}\n"),
    ]
    paper, made = told(reading("old"), reading("mine", *changes), reading("new"), sheet=True)
    for one in (
        (hostile(paper), made),
        (hostile(paper), replace(made, arrival=(arrival(made.plan, made.plan.old),))),
    ):
        for line in (*carry_text(*one, show_all=True), *json_text(carry_json(*one)).splitlines()):
            assert line.isprintable(), line
    json.loads(json_text(carry_json(hostile(paper), made)))


@pytest.mark.parametrize("later", [False, True])
def test_the_same_input_gives_the_same_text(later: bool) -> None:
    one = update(later=later, sheet=True)
    assert shown(one) == shown(one)
    assert json_text(carry_json(*one)) == json_text(carry_json(*one))

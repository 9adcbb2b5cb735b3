"""The three answers: what holds, what fails, and what is not judged, with the reason and its place."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import checked_rules, shipped_rules
from cfgaudit.audit.finding import Audit, NotJudged
from cfgaudit.audit.rule import Rule
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import Build, normalise
from tests.audit.bench import dialects, dump_of, header, reading_of, sample, sheet

DUMP = """\
~ plover 4.1.2 / Reed-405 / STM32F405RGT6 / everything
link u1 does 0x4 at 115200
link u3 does 0x0 at 115200
screen := camera
thrust.magnets := 14
ready.checks := yes
"""
SHEET = """\
craft: otter
board:
  chip: Example-1
motors:
  kv: 1900
devices:
  - receiver:
      port: UART1
  - gnss:
      name: position receiver
"""


def rule(body: str) -> Rule:
    """A rule from what is special about it, its keys by YAML's rules."""
    text = """\
- id: own/one
  level: error
  title: One
  why: Because.
  basis: common practice
  cases:
    - fails: {}
"""
    keys = {"expect": "'false'", "say": "It fails."} | dict(
        line.split(": ", 1) for line in body.strip().splitlines()
    )
    text += "".join(f"  {key}: {value}\n" for key, value in keys.items())
    (made,) = checked_rules(read_yaml(text, "own.yaml"))
    return made


def audited(*rules: Rule, dump: str = DUMP, build: str = SHEET) -> Audit:
    placed = read_yaml(build, "build.yaml")
    assert isinstance(placed.data, dict)
    return audit(reading_of(dump), Build(normalise(placed.data), placed, placed.file), rules)


def only_open(seen: Audit) -> NotJudged:
    """The one answer of an audit that could not judge."""
    assert not seen.findings
    assert not seen.holding
    (one,) = seen.not_judged
    return one


def texts(seen: Audit) -> list[str]:
    return [one.text for one in seen.findings]


# True, false, and everything else


def test_true_holds() -> None:
    seen = audited(rule("expect: model.arming.checks"))
    assert seen.holding == ("own/one",)
    assert not seen.findings
    assert not seen.not_judged


def test_false_fails() -> None:
    seen = audited(rule("expect: '!model.arming.checks'\nsay: 'Checks: {model.arming.checks}'"))
    assert texts(seen) == ["Checks: yes"]
    assert not seen.holding


def test_not_about_it_holds() -> None:
    assert audited(rule("when: model.osd.drive == 'off'")).holding == ("own/one",)


@pytest.mark.parametrize("key", ["expect", "when"])
@pytest.mark.parametrize(
    ("expression", "part"),
    [
        ("model.osd.rows > 3", "rows"),  # an error of CEL's is a value, and not a false one
        ("'!(model.osd.rows > 3)'", "rows"),
        ("model.motors.poles > 'twelve'", "overload"),
        ("'!model.motors.poles'", "overload"),
        ("model.motors.poles / 0 == 1", "zero"),
        ("model.ports.UART1.functions[7] == 'gnss'", "7"),
        ("model.motors.poles", "INT"),
        ("model.osd.drive", "STRING"),
        ("model.ports.UART1.functions", "LIST"),
        ("model.ports", "MAP"),
        ("int(model.osd.drive) == 1", "convert"),
        ("model.osd.drive.matches('(')", "("),
    ],
)
def test_what_is_neither_true_nor_false_is_not_judged(key: str, expression: str, part: str) -> None:
    made = rule(f"{key}: {expression}")
    one = only_open(audited(made))
    assert one.missing.startswith("the rule itself fails: ")
    assert part.lower() in one.missing.lower()
    assert one.where == made.written.place((0, key))
    assert one.where > made.place == Place("own.yaml", 1, 3)


def test_an_error_that_cannot_matter_is_none() -> None:
    assert audited(rule("expect: model.osd.rows > 3 || true")).holding == ("own/one",)
    assert texts(audited(rule("expect: model.osd.rows > 3 && false"))) == ["It fails."]


def test_a_sentence_with_an_error_is_no_finding_and_no_pass() -> None:
    one = only_open(audited(rule("say: 'There are {model.osd.rows} rows.'")))
    assert one.missing.startswith("the rule itself fails: ")
    assert one.where == Place("own.yaml", 9, 8)


def test_a_mend_with_an_error_leaves_the_finding() -> None:
    for value in ("'{model.osd.rows}'", "'{model.ports}'", "'{null}'", "'+ {model.ports}'"):
        (finding,) = audited(rule(f"mend: {{osd.rows: {value}}}")).findings
        assert finding.mend.cannot.startswith("the rule's mend fails: "), value
        assert not finding.mend.lines


def test_a_place_that_is_not_there_is_left_out() -> None:
    at = "at: {found: [model.osd.rows, 'model.{model.nowhere}', model.osd.drive]}"
    (finding,) = audited(rule(at)).findings
    assert [sight.text for sight in finding.found] == ["screen := camera"]


# Loops


def test_a_loop_over_a_list_and_over_a_map() -> None:
    devices = rule("each: device in build.devices\nsay: '{device.name} {device.kind}'")
    assert texts(audited(devices)) == ["receiver receiver", "position receiver gnss"]
    ports = rule("each: port in model.ports\nsay: '{port.id}: {port.functions}'")
    assert texts(audited(ports)) == ["UART1: receiver", "UART3: nothing"]


def test_a_loop_over_values_names_each_by_its_key() -> None:
    leaves = rule("each: leaf in model.osd\nsay: '{leaf.id} is {leaf.value}'")
    assert texts(audited(leaves)) == ["drive is chip"]


def test_a_loop_in_a_loop() -> None:
    jobs = rule("each: [port in model.ports, job in port.functions]\nsay: '{job} on {port.id}'")
    assert texts(audited(jobs)) == ["receiver on UART1"]
    computed = rule("each: [port in model.ports, 'job in model.ports.{port.id}.functions']\nsay: '{job}'")
    assert texts(audited(computed)) == ["receiver"]


def test_a_loop_over_nothing_holds() -> None:
    assert audited(rule("each: device in build.devices"), build="devices: []").holding == ("own/one",)


def test_a_loop_over_what_is_missing_is_not_judged() -> None:
    one = only_open(audited(rule("each: mode in model.modes")))
    assert one.missing == "the dump does not say modes"


@pytest.mark.parametrize("path", ["model.osd.drive", "model.motors.poles", "model.arming.checks"])
def test_a_loop_over_a_single_value_is_not_judged(path: str) -> None:
    one = only_open(audited(rule(f"each: one in {path}")))
    assert one.missing == f"the rule itself fails: {path} is neither a list nor keys and values"
    assert one.where == Place("own.yaml", 10, 9)


def test_a_loop_whose_path_ends_in_an_error_is_not_judged() -> None:
    one = only_open(audited(rule("each: 'one in model.{model.osd.rows}'")))
    assert one.missing.startswith("the rule itself fails: ")


def test_subjects_are_judged_each_by_itself() -> None:
    made = rule(
        "each: device in build.devices\nneeds: [device.port]\n"
        "expect: device.port != 'UART1'\nsay: '{device.port}'"
    )
    seen = audited(made)
    assert texts(seen) == ["UART1"]
    assert [one.missing for one in seen.not_judged] == ["the build sheet does not declare devices.1.port"]
    assert not seen.holding


# What is missing


@pytest.mark.parametrize(
    ("need", "missing", "where"),
    [
        ("model.motors.protocol", "the dump does not say motors.protocol", None),
        ("model.modes.arm", "the dump does not say modes.arm", None),
        ("model.ports.UART6.functions", "the dump does not say ports.UART6.functions", None),
        ("build.motors.magnets", "the build sheet does not declare motors.magnets", (4, 1)),
        ("build.battery.cells", "the build sheet does not declare battery.cells", (1, 1)),
        ("build.devices.1.port", "the build sheet does not declare devices.1.port", (9, 5)),
        ("build.devices.7.port", "the build sheet does not declare devices.7.port", (6, 1)),
        # derived figures name what they are made from
        ("derived.motors.pole_ratio", "the build sheet does not declare motors.magnets", (4, 1)),
        ("derived.receiver.link", "the dump does not say receiver.link", None),
        ("derived.osd.carriers", "the dump does not say ports.UART3.functions", "holds"),
        # and where an input is of no use they say so, and point at it
        (
            "derived.serial.port.UART1.on_chip",
            "no list of chips here has the serial ports of Example-1",
            (3, 9),
        ),
        ("derived.serial.port.UART9.on_chip", "nothing is known of serial.port.UART9.on_chip", None),
        ("derived.nothing.at.all", "nothing is known of nothing.at.all", None),
    ],
)
def test_a_need(need: str, missing: str, where: tuple[int, int] | str | None) -> None:
    seen = audited(rule(f"needs: [{need}]\nexpect: 'true'"))
    if where == "holds":
        assert seen.holding == ("own/one",)
        return
    one = only_open(seen)
    assert one.missing == missing
    assert one.where == (Place("build.yaml", *where) if isinstance(where, tuple) else None)


def test_the_first_thing_that_is_missing_is_named() -> None:
    one = only_open(audited(rule("needs: [model.arming.checks, model.osd.rows, build.battery.cells]")))
    assert one.missing == "the dump does not say osd.rows"


def test_a_need_that_hangs_on_another_waits_for_it() -> None:
    each = "each: device in build.devices\nneeds: [device.port, 'model.ports.{device.port}.functions']"
    seen = audited(rule(each))
    assert [one.missing for one in seen.not_judged] == ["the build sheet does not declare devices.1.port"]


def test_what_is_missing_goes_before_an_error_in_when() -> None:
    one = only_open(audited(rule("when: model.osd.rows > 3\nneeds: [model.osd.rows]")))
    assert one.missing == "the dump does not say osd.rows"


def test_what_it_is_not_about_need_not_be_known() -> None:
    seen = audited(rule("when: model.osd.drive == 'displayport'\nneeds: [model.osd.rows]"))
    assert seen.holding == ("own/one",)


def test_a_default_is_known() -> None:
    changed = header(dialects()["plover"], "4.1").replace("everything", "changes")
    made = rule(
        "needs: [model.motors.poles]\nexpect: model.motors.poles > 12\nsay: '{model.motors.poles}'\n"
        "at: {found: [model.motors.poles]}"
    )
    (finding,) = audited(made, dump=changed).findings
    assert finding.text == "12"
    assert [(str(sight.origin), sight.text) for sight in finding.found] == [
        ("default of plover", "motors.poles by default")
    ]


def test_an_empty_dump_and_an_empty_sheet_leave_most_open() -> None:
    seen = audited(*shipped_rules(), dump=header(dialects()["plover"], "4.1"), build="craft: otter")
    assert texts(seen) == []
    assert not [one for one in seen.not_judged if "the rule itself" in one.missing]
    open_rules = {one.rule for one in seen.not_judged}
    assert not open_rules & {*seen.holding}
    # what is left can be judged without either: how the dump reads, and that no device lacks a port
    assert {id.partition("/")[0] for id in seen.holding} <= {"file", "identity"}


@pytest.mark.parametrize(
    "leaves",
    [
        {("motors", "poles"): 12},
        {("motors", "poles"): 12, ("osd", "drive"): "chip", ("receiver", "link"): "sbus"},
    ],
)
def test_what_is_open_stays_open_whatever_else_is_found(leaves: Mapping[tuple[str, ...], int | str]) -> None:
    dump, _ = dump_of(dialects()["plover"], "4.1", leaves)
    seen = audit(reading_of(dump), sheet("otter"), shipped_rules())
    whole = audit(sample("otter/known-good.txt"), sheet("otter"), shipped_rules())
    found = {one.rule for root in seen.findings for one in (root, *root.follows)}
    assert "motor/poles" in found
    assert {*seen.holding} | {one.rule for one in seen.not_judged} | found == {*whole.holding}

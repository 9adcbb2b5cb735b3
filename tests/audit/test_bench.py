"""Findings and changes become the steps of the guide: which, on what, in which order, in which words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest

from cfgaudit.audit.audit import audit, evidence_with
from cfgaudit.audit.bench.bench import bench
from cfgaudit.audit.bench.call import Call, brought_to_light, calls_of
from cfgaudit.audit.bench.guide import guide, shipped_guide
from cfgaudit.audit.bench.step import Step
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.cases import Paper
from cfgaudit.audit.evidence import Bench, facts_of_reading
from cfgaudit.audit.remedy import remedy
from cfgaudit.compare.calls import calls_of_changes
from cfgaudit.compare.compare import compare
from cfgaudit.dialect.wait import longest
from cfgaudit.model.path import parse
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import normalise
from tests.audit.bench import sample, sheet, typed

BUILD: Any = normalise(
    {
        "devices": [
            {"receiver": {"port": "UART1"}},
            {"gnss": {"name": "compass.mast", "port": "UART6"}},
            {"buzzer": {}},
        ],
        "motors": {"places": {"2": {"at": "rear"}, "1": {"at": "front"}, "10": {}}},
    }
)
MODEL: Any = {"osd": {"rows": 16}, "modes": {"self_level": {"0": {"channel": 6}}, "arm": {}}}


def call(*paths: str, rules: Iterable[str] = (), effect: str = "", text: str = "It changed.") -> Call:
    return Call("it", text, tuple(rules), tuple(map(parse, paths)), (), effect)


def steps(text: str, *calls: Call, here: Any = None) -> tuple[Step, ...]:
    """The steps of a guide with one stage, written as the list of its steps."""
    lines = "\n".join(f"  {line}" for line in text.strip("\n").splitlines())
    made = guide((), [read_yaml(f"stage: 1\ntitle: At the bench\nsteps:\n{lines}\n", "own.yaml")])
    return bench(made, calls, evidence_with(made.sections, MODEL, BUILD, {}, Paper()), here or {})


WORDS = "  do: Do it.\n  see: It is.\n  if_not: It is not."


def named(text: str, *calls: Call) -> list[str]:
    return [step.name for step in steps(text, *calls)]


# What calls for a step


def test_a_step_that_is_always_done() -> None:
    (step,) = steps(f"- step: one\n  always: true\n{WORDS}")
    assert (step.do, step.see, step.if_not) == ("Do it.", "It is.", "It is not.")
    assert (step.rows, step.lines, step.calls) == ((), (), ())
    assert (step.stage.number, step.stage.title) == (1, "At the bench")


@pytest.mark.parametrize(
    ("wanted", "one", "called"),
    [
        ("rules: [own/a]", call(rules=["own/a"]), True),
        ("rules: [own/*]", call(rules=["own/a"]), True),
        ("rules: [own/*]", call(rules=["owner/a"]), False),
        ("rules: [own/a]", call(rules=["own/ab"]), False),
        # what merely follows from a finding is seen to by the same step
        ("rules: [own/b]", call(rules=["own/a", "own/b"]), True),
        ("rules: [own/*], but: [own/a]", call(rules=["own/a"]), False),
        ("rules: [own/*], but: [own/b]", call(rules=["own/a", "own/b"]), True),
        ("paths: [model.osd]", call("model.osd.rows"), True),
        ("paths: [model.osd.rows]", call("model.osd.rows"), True),
        ("paths: [model.osd.rows]", call("model.osd"), False),
        ("paths: [model.osd]", call("model.osds"), False),
        ("paths: [model.osd]", call("build.osd"), False),
        ("when: call.effect != ''", call(effect="restart"), True),
        ("when: call.effect != ''", call(), False),
        ("paths: [model.osd], when: call.effect != ''", call("model.osd.rows"), False),
        ("paths: [model.osd], when: call.effect != ''", call("model.osd", effect="restart"), True),
        # what cannot be reckoned is not so
        ("when: call.nothing == 1", call(), False),
    ],
)
def test_what_calls_for_it(wanted: str, one: Call, called: bool) -> None:
    found = steps(f"- step: one\n  for: {{{wanted}}}\n{WORDS}", one)
    assert [step.calls for step in found] == ([(one,)] if called else [])


def test_one_step_for_several() -> None:
    one, two = call("model.osd.rows"), call("model.osd.columns", text="That too.")
    (step,) = steps(f"- step: one\n  for: {{paths: [model.osd]}}\n{WORDS}", one, two, one)
    assert step.calls == (one, two)


# Rows

ROWS = f"""
- step: one
  each: device in build.devices
  when: device.kind != "buzzer"
  about: [device.port, "model.ports.{{device.port}}"]
  row: ["{{device.name}}", "on {{device.port}}"]
{WORDS}
"""


@pytest.mark.parametrize(
    ("paths", "rows"),
    [
        (["model.ports.UART6.rate_baud"], ["compass.mast: on UART6"]),
        (["build.devices.1.port"], ["compass.mast: on UART6"]),
        (["model.ports.UART1", "build.devices.1.port"], ["receiver: on UART1", "compass.mast: on UART6"]),
        # not about these rows: another port, another key, another thing
        (["model.ports.UART60.rate_baud"], []),
        (["build.devices.1.speaks"], []),
        (["build.devices.2.port"], []),
        (["model.ports"], []),
    ],
)
def test_rows_that_are_called_for(paths: list[str], rows: list[str]) -> None:
    found = steps(ROWS, *map(call, paths))
    assert [row for step in found for row in step.rows] == rows
    assert len(found) == bool(rows)


def test_each_row_has_its_own_reason() -> None:
    one, two, other = call("model.ports.UART1.duplex"), call("model.ports.UART6.duplex"), call("model.osd")
    (step,) = steps(ROWS, other, two, one)
    assert step.calls == (one, two)


def test_all_rows_for_what_calls_for_the_whole_step() -> None:
    whole = ROWS.replace("  about:", "  for: {paths: [model.osd]}\n  about:")
    one, other = call("model.osd.rows"), call("model.ports.UART6.duplex")
    (step,) = steps(whole, one, other)
    assert step.rows == ("receiver: on UART1", "compass.mast: on UART6")
    assert step.calls == (one, other)


def test_rows_come_in_the_sheet_s_order() -> None:
    text = "- step: one\n  always: true\n  each: m in build.motors.places\n  row: ['{m.id}', '{m.at}']\n"
    (step,) = steps(text + WORDS)
    assert step.rows == ("2: rear", "1: front", "10")


def test_keys_are_called_with_blanks() -> None:
    text = f"- step: one\n  always: true\n  each: mode in model.modes\n  row: '{{mode.called}}'\n{WORDS}"
    assert steps(text)[0].rows == ("self level", "arm")


def test_a_step_that_is_called_for_stands_without_rows() -> None:
    text = f"- step: one\n  for: {{paths: [model.osd]}}\n  each: x in build.nothing\n  row: '{{x}}'\n{WORDS}"
    (step,) = steps(text, call("model.osd.rows"))
    assert step.rows == ()
    assert steps(text, call("model.loop")) == ()


def test_rows_that_are_the_calls_themselves() -> None:
    text = (
        f"- step: one\n  for: {{rules: [own/*]}}\n  each: call in calls\n  row: '{{call.text}}'\n"
        f"  when: call.effect == ''\n{WORDS}"
    )
    (step,) = steps(
        text, call(rules=["own/a"], text="A."), call(text="B."), call(rules=["own/c"], text="C.", effect="x")
    )
    assert step.rows == ("A.",)


# Words


def test_a_sentence_with_a_figure_that_nobody_told_is_left_out() -> None:
    (step,) = steps(
        """
- step: one
  always: true
  do: ["{model.osd.rows} rows.", "{model.osd.columns} columns.", Count., "{build.craft == 'x' ? 'X.' : ''}"]
  see: ["{model.osd.rows == 16 ? '' : 'Never.'}", "As many."]
  if_not: Count again.
"""
    )
    assert (step.do, step.see) == ("16 rows. Count.", "As many.")


def test_lines_to_type() -> None:
    text = "- step: one\n  always: true\n  type: ['{here.mends}', '{here.none}', '  say {here.x}']\n"
    (step,) = steps(text + WORDS, here={"mends": ["a", "b  c"], "x": 1})
    assert step.lines == ("a", "b  c", "say 1")


def test_a_condition_on_the_step() -> None:
    text = f"- step: one\n  always: true\n  when: here.findings > 0\n{WORDS}"
    assert steps(text, here={"findings": 1})
    assert not steps(text, here={"findings": 0})
    assert not steps(text)


# Order

ORDER = f"""
- step: one
  each: device in build.devices
  when: has(device.port)
  about: ["model.ports.{{device.port}}"]
  later: {{after: three, when: device.kind == "gnss"}}
  row: "{{device.name}}"
{WORDS}
- step: two
  for: {{paths: [model.ports]}}
  later: {{after: three, when: model.osd.rows == 16}}
{WORDS}
- step: three
  always: true
{WORDS}
- step: four
  always: true
{WORDS}
"""


def test_rows_that_are_done_later() -> None:
    found = steps(ORDER, call("model.ports.UART1.duplex"), call("model.ports.UART6.duplex", text="Six."))
    assert [(step.name, step.rows) for step in found] == [
        ("one", ("receiver",)),
        ("three", ()),
        ("one", ("compass.mast",)),
        ("two", ()),
        ("four", ()),
    ]


def test_later_into_another_stage() -> None:
    made = guide(
        (),
        [
            read_yaml(
                f"stage: 4\ntitle: Later\nsteps:\n  - step: b\n    always: true\n{indented()}", "b.yaml"
            ),
            read_yaml(
                "stage: 3\ntitle: Before\nsteps:\n  - step: a\n    always: true\n"
                f"    later: {{after: b, when: 'true'}}\n{indented()}",
                "a.yaml",
            ),
        ],
    )
    found = bench(made, (), evidence_with(made.sections, {}, {}, {}, Paper()), {})
    assert [(step.name, step.stage.number) for step in found] == [("b", 4), ("a", 4)]


def indented() -> str:
    return "".join(f"  {line}\n" for line in WORDS.splitlines())


# What no step looks at

LEFT = f"""
- step: one
  for: {{paths: [model.osd]}}
{WORDS}
- step: mends
  for: {{when: 'true'}}
{WORDS}
- step: rest
  otherwise: true
  for: {{when: size(call.paths) > 0}}
{WORDS}
"""


def test_what_no_step_looks_at_goes_to_the_rest() -> None:
    one, two, three = call("model.osd.rows"), call("model.loop.gyro_hz"), call()
    found = {step.name: step.calls for step in steps(LEFT, one, two, three)}
    assert found == {"one": (one,), "mends": (one, two, three), "rest": (two,)}
    assert named(LEFT, one) == ["one", "mends"]


# Calls


@pytest.mark.parametrize(
    ("waits", "one"),
    [([], ""), (["", "restart"], "restart"), (["restart", "power cycle", ""], "power cycle"), ([""], "")],
)
def test_the_longest_wait(waits: list[str], one: str) -> None:
    assert longest(waits) == one


def test_a_finding_calls_with_what_follows_from_it_and_what_its_mend_touches() -> None:
    reading = sample("otter/after.txt")
    found = audit(reading, sheet("otter"), shipped_rules()).findings
    calls = {one.name: one for one in calls_of(found, reading.after)}
    assert len(calls) == len(found)
    moved = calls["serial/job-on-wrong-port"]
    assert moved.rules == ("serial/job-on-wrong-port", "serial/jobs-that-cannot-share")
    assert {
        ("build", "devices", "1", "port"),
        ("model", "ports", "UART4", "functions"),
        ("model", "ports", "UART6", "functions"),
    } <= {*moved.paths}
    assert [str(one) for one in moved.origins] == ["after.txt:9:14", "after.txt:8:14", "build.yaml:41:13"]
    assert (moved.effect, moved.mended) == ("restart", True)
    assert calls["osd/element-outside"].effect == ""


def test_a_change_calls_with_its_paths() -> None:
    changes = compare(sample("otter/before.txt"), sample("otter/after.txt")).changes
    calls = {one.name: one for one in calls_of_changes(changes)}
    motor = calls["motor 3"]
    assert (motor.text, motor.rules, motor.effect) == ("motor 3: pin PC8 → PC9", (), "restart")
    assert motor.paths == (("model", "outputs", "3", "pin"),)
    assert [str(one) for one in motor.origins] == ["after.txt:46:20"]
    assert calls["screen.letters"].paths == ()


HIDDEN = """
[senses]
board-yaw = 90
compass-yaw = 0
"""


def test_what_other_mends_bring_to_light_calls_too() -> None:
    """Turned with the board, the compass is right; the board's mend turns it away, and is followed."""
    reading, rules, build = typed(sample("heron/known-good.txt"), [HIDDEN]), shipped_rules(), sheet("heron")
    found = audit(reading, build, rules)
    assert [one.rule for one in found.findings] == ["sensor/board-alignment"]
    calls = tuple(calls_of(found.findings, reading.after))
    mended = typed(reading, remedy(reading, build, rules, found).lines)
    (one,) = brought_to_light(reading.model, mended.model, calls, reading.after)
    assert one.paths == (("model", "sensors", "magnetometer_alignment", "yaw_deg"),)
    assert "sensors.magnetometer_alignment.yaw_deg" in one.text
    assert not [*brought_to_light(reading.model, mended.model, (*calls, one), reading.after)]


# The otter's story, by the guide in the box


def otter() -> dict[str, Step]:
    """The steps of its audit by name, as the command makes them."""
    reading, rules, build = sample("otter/after.txt"), shipped_rules(), sheet("otter")
    found = audit(reading, build, rules)
    mends = remedy(reading, build, rules, found).lines
    mended = typed(reading, mends)
    made = shipped_guide()
    seen = evidence_with(
        made.sections, mended.model.tree, build.tree, facts_of_reading(mended), Bench(mended, build)
    )
    here: Any = {"findings": len(found.findings), "mends": [*mends], "mend_file": "", "keep": "keep"}
    return {step.name: step for step in bench(made, calls_of(found.findings, reading.after), seen, here)}


def test_the_otter_s_motor_three_is_followed_by_its_wire_and_turned() -> None:
    found = otter()
    assert found["motor-wires"].rows == ("motor 3: rear left, pad M3",)
    assert [one.name for one in found["motor-turn"].calls] == ["motor/pin-differs"]
    assert found["motor-turn"].rows == (
        "motor 1: rear right, clockwise",
        "motor 2: front right, counter-clockwise",
        "motor 3: rear left, counter-clockwise",
        "motor 4: front left, clockwise",
    )


def test_what_usb_does_not_feed_waits_for_the_battery() -> None:
    found = otter()
    assert {name: found[name].stage.number for name in ("gnss", "picture", "elements")} == {
        "gnss": 3,
        "picture": 4,
        "elements": 4,
    }


def test_the_steps_speak_of_the_configuration_with_its_mends() -> None:
    found = otter()
    assert found["elements"].rows == ("craft name: column 9, row 19",)  # the dump has row 22
    assert "out 3 turns m3 pin C8" in found["mends"].lines
    assert "same-as-listed" not in found
    assert "settle" not in found


def test_a_private_value_is_in_no_step() -> None:
    known, after = sample("otter/known-good.txt"), sample("otter/after.txt")
    secret = str(after.model.tree["receiver"]["bind"])  # type: ignore[index, call-overload]
    calls = tuple(calls_of_changes(compare(known, after).changes))
    assert any("bind" in one.text for one in calls)
    made, build = shipped_guide(), sheet("otter")
    seen = evidence_with(
        made.sections, after.model.tree, build.tree, facts_of_reading(after), Bench(after, build)
    )
    assert secret
    assert secret not in repr(bench(made, calls, seen, {"findings": 0}))

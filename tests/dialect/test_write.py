"""Model → lines: what is pasted gives what was wanted and nothing else, and the undo takes it back."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import recognise
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dialect.write import Lines, write
from cfgaudit.dump.statement import Kind
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path, dotted, parse
from cfgaudit.model.value import Value
from tests.dialect.dumps import DUMPS, KNOT_FULL, TEAL_FULL
from tests.dialect.others import others
from tests.dialect.small import KNOT, TEAL, compiled, leaves, read, typed
from tests.dump.texts import statements

TEAL_DIALECT, KNOT_DIALECT = compiled(TEAL), compiled(KNOT)
NAMES = ["teal", "knot", "plover", "dunlin"]
UNTOUCHED = {
    "plover untouched": "~ plover 4.1.2 / Reed-405 / STM32F405RGT6 / changes\ntune 2\nfeel 2\ntune 1\n",
    "dunlin untouched": "; built 2026-02-17, telling differences\n[link C]\n[tuning 2]\n[feel 1]\n",
}
each_dump = pytest.mark.parametrize("name", NAMES)


@cache
def full(name: str) -> Reading:
    """A dump of each firmware, read."""
    source = Text(f"{name}.txt", (DUMPS | UNTOUCHED)[name], "utf-8", mark=False)
    return read_dump(source, recognise(source, (TEAL_DIALECT, KNOT_DIALECT, *shipped_dialects())))


def values(reading: Reading) -> dict[Path, Value]:
    return {path: leaf.value for path, leaf in reading.model.leaves.items()}


def told(reading: Reading) -> tuple[dict[Path, Value], dict[str, Value]]:
    return values(reading), {name: leaf.value for name, leaf in reading.model.settings.items()}


def choices(reading: Reading) -> dict[Path, list[Value]]:
    """For each leaf that a line gives, the other values it may have."""
    found = {}
    for path, entry in reading.givers.items():
        gift = next(one for one in entry.form.gifts if one.path.match(path) is not None)
        found[path] = others(entry.form.cells[gift.cell], gift.field, values(reading)[path])
    return found


def wants(reading: Reading, wanted: Mapping[Path, Value]) -> Lines:
    """Write, paste, compare, undo, compare: the lines that did it."""
    lines = write(reading, wanted)
    assert lines.complete, lines.cannot
    after = pasted(reading, typed(*lines.lines))
    leaves_before, settings_before = told(reading)
    assert told(after) == (leaves_before | dict(wanted), settings_before), lines.lines
    assert not after.doubts
    assert after.unknown == reading.unknown
    assert told(pasted(after, typed(*lines.undo))) == (leaves_before, settings_before), lines.undo
    return lines


def words(line: str, family: str) -> tuple[str, ...]:
    (one,) = statements(line, family).statements
    return one.words


# Every leaf of the samples


@each_dump
def test_every_leaf_that_a_line_gives_can_be_written(name: str) -> None:
    reading = full(name)
    family = reading.dialect.family
    assert len(reading.givers) > 15
    for path, value in values(reading).items():
        lines = write(reading, {path: value})
        assert lines.complete is (path in reading.givers), dotted(path)
        if lines.complete:
            entry = reading.givers[path]
            own = [line for line in lines.lines if words(line, family) == entry.statement.words]
            assert len(own) == 1, (lines.lines, entry.statement.text)
        else:
            assert path[0] in ("firmware", "limits") or path[-1] == "width"
            assert lines.cannot == (f"{reading.dialect.name} has no setting for {dotted(path)}",)
            assert not lines.lines


@each_dump
def test_all_leaves_together_give_the_same_dump(name: str) -> None:
    reading = full(name)
    same = {path: value for path, value in values(reading).items() if path in reading.givers}
    lines = wants(reading, same)
    given = {entry.statement.words for entry in reading.givers.values()}
    assert given <= {words(line, reading.dialect.family) for line in lines.lines}


@pytest.mark.parametrize("name", [*NAMES, *UNTOUCHED])
def test_every_leaf_can_be_given_another_value(name: str) -> None:
    """All lines at once, one leaf of each at a time."""
    reading = full(name)
    rounds: list[dict[Path, Value]] = []
    seen: dict[int, int] = {}
    for path, options in choices(reading).items():
        assert options, dotted(path)
        entry = reading.givers[path]
        turn = seen[id(entry)] = seen.get(id(entry), -1) + 1
        if turn == len(rounds):
            rounds.append({})
        rounds[turn][path] = options[0]
    for wanted in rounds:
        wants(reading, wanted)


@each_dump
@given(st.data())
@settings(max_examples=6, deadline=None)
def test_one_leaf_changes_alone(name: str, data: st.DataObject) -> None:
    reading = full(name)
    path, options = data.draw(st.sampled_from(list(choices(reading).items())))
    lines = wants(reading, {path: data.draw(st.sampled_from(options))})
    entry = reading.givers[path]
    assert len(lines.lines) <= (3 if entry.scope.opens else 1)


@each_dump
@given(st.data())
@settings(max_examples=6, deadline=None)
def test_several_leaves_change_together(name: str, data: st.DataObject) -> None:
    reading = full(name)
    options = choices(reading)
    paths = data.draw(st.lists(st.sampled_from(list(options)), min_size=2, max_size=30, unique=True))
    wants(reading, {path: data.draw(st.sampled_from(options[path])) for path in paths})


@each_dump
def test_every_line_is_written_as_it_was_read(name: str) -> None:
    reading = full(name)
    for entry in reading.entries:
        cells = entry.form.cells
        texts = {
            one: cells[one].codec.write(cells[one].codec.read(text)) for one, text in entry.texts.items()
        }
        line = entry.form.line.render(texts)
        if entry.statement.kind is Kind.SECTION:
            line = f"[{line}]"
        assert words(line, reading.dialect.family) == entry.statement.words


# What the lines look like


def teal(*rows: str, extent: str = "all") -> Reading:
    return read(TEAL_DIALECT, f"~ teal 1.0 on Reed, {extent}", *rows)


def knot(*rows: str) -> Reading:
    return read(KNOT_DIALECT, "; everything is told", *rows)


def lines(reading: Reading, wanted: Mapping[str, Value]) -> Lines:
    return write(reading, {parse(path): value for path, value in wanted.items()})


def test_one_line_for_one_row() -> None:
    made = lines(
        full("teal"),
        {
            "ports.UART1.rate_baud": 19200,
            "outputs.2.pin": "PC3",
            "ports.UART1.functions": ("receiver", "telemetry"),
        },
    )
    assert made.lines == ("line l1 jobs 0x24 pace 19200", "leg 2 spins m2 on C3")
    assert made.undo == ("line l1 jobs 0x4 pace 9600", "leg 2 spins m2 on B7")


def test_cells_that_are_not_to_change_stay_as_they_are_written() -> None:
    reading = teal("line l1 jobs 0x04 pace 09600", "leg 1 spins m01 on PB06")
    assert lines(reading, {"ports.UART1.rate_baud": 19200}).lines == ("line l1 jobs 0x04 pace 19200",)
    assert lines(reading, {"outputs.1.pin": "PB7"}).lines == ("leg 1 spins m01 on B7",)


def test_a_packed_field_leaves_the_others_alone() -> None:
    reading = teal("show volts 37")
    wanted = {"osd.elements.battery_voltage.column": 33}
    assert lines(reading, wanted).lines == ("show volts 545",)
    after = pasted(reading, typed("show volts 545"))
    assert leaves(after, "osd.elements.battery_voltage") == {
        "osd.elements.battery_voltage.column": 33,
        "osd.elements.battery_voltage.row": 2,
        "osd.elements.battery_voltage.shown": True,
        "osd.elements.battery_voltage.width": 6,
    }


def test_lines_stand_under_what_opens_their_scope() -> None:
    made = lines(full("teal"), {"profiles.2.grip": 9, "battery.cell_warn_v": 3.3, "profiles.1.grip": 8})
    assert made.lines == (
        "put volts.warn := 330",
        "tune 1",
        "put grip := 8",
        "tune 2",
        "put grip := 9",
        "tune 1",
    )
    assert made.undo == (
        "put volts.warn := 350",
        "tune 1",
        "put grip := 44",
        "tune 2",
        "put grip := 45",
        "tune 1",
    )
    made = lines(
        full("knot"), {"ports.UART1.inverted": False, "identity.craft_name": "x", "pin_setup.PB6.timer": 4}
    )
    assert made.lines == ('craft = "x"', "[link B]", "upright = yes", "[pin PB06]", "timer = 4")


def test_a_selector_that_is_last_already_is_not_typed_again() -> None:
    assert lines(full("teal"), {"profiles.1.grip": 8}).lines == ("tune 1", "put grip := 8")


def test_what_the_last_selector_says_can_be_changed() -> None:
    made = lines(full("teal"), {"profiles.active": 2})
    assert (made.lines, made.undo) == (("tune 2",), ("tune 1",))
    made = lines(full("teal"), {"profiles.2.grip": 9, "profiles.active": 3, "profiles.1.grip": 8})
    assert made.lines == ("tune 1", "put grip := 8", "tune 2", "put grip := 9", "tune 3")
    assert made.undo == ("tune 1", "put grip := 44", "tune 2", "put grip := 45", "tune 1")


def test_texts_are_put_in_quotes_where_they_need_it() -> None:
    for text, written in (('two "words"', '"two \\"words\\""'), ("a ; b", '"a ; b"'), ("", '""')):
        assert wants(full("knot"), {parse("identity.craft_name"): text}).lines == (f"craft = {written}",)


# Lines that the dump does not have


def test_a_new_row_is_made_of_what_is_wanted() -> None:
    made = lines(
        full("teal"), {"modes.arm.9.channel": 7, "modes.arm.9.from_us": 900, "modes.arm.9.to_us": 1200}
    )
    assert made.lines == ("lever 9 go 3 900 1200",)
    assert made.undo == ("lever 9 idle 3 900 1200",)
    after = pasted(full("teal"), typed(*made.lines))
    assert told(pasted(after, typed(*made.undo))) == told(full("teal"))


def test_a_row_that_says_none_is_taken() -> None:
    made = lines(full("teal"), {"modes.arm.3.channel": 7, "modes.arm.3.to_us": 1200})
    assert made.lines == ("lever 3 go 3 900 1200",)
    assert made.undo == ("lever 3 idle 1 900 900",)


def test_a_row_that_is_in_use_is_not_taken_over() -> None:
    made = lines(full("teal"), {"modes.arm.2.channel": 7})
    assert made == Lines((), (), ("lever 2 is in use for self_level, so not free for arm",))


def test_a_row_can_take_another_shape() -> None:
    made = lines(full("teal"), {"outputs.3.motor": 3})
    assert made.lines == ("leg 3 spins m3 on off",)
    assert made.undo == ("leg 3 serves lamp on off",)
    made = lines(full("teal"), {"outputs.3.pin": "PA1", "outputs.3.motor": 3})
    assert made.lines == ("leg 3 spins m3 on A1",)


def test_one_line_cannot_have_two_shapes_or_keys() -> None:
    made = lines(full("teal"), {"outputs.3.motor": 3, "outputs.3.use": "servo"})
    assert made == Lines((), (), ("outputs.3.motor, outputs.3.use: no one line of teal says all of them",))
    made = lines(full("teal"), {"modes.arm.9.channel": 7, "modes.self_level.9.channel": 7})
    assert not made.lines
    assert "one line cannot say both arm and self_level" in made.cannot[0]


def test_what_nobody_says_is_not_made_up() -> None:
    made = lines(teal(), {"ports.UART1.rate_baud": 9600, "ports.USB.rate_baud": 9600, "outputs.7.motor": 7})
    assert made.lines == ("line l1 jobs 0x4 pace 9600",)  # its factory line says the rest
    assert made.undo == ("line l1 jobs 0x4 pace 9600",)
    assert made.cannot == (
        "line {id} jobs {jobs} pace {rate}: nothing says what jobs should be",
        "leg {n} spins m{motor} on {pin}: nothing says what pin should be",
    )


def test_a_new_setting_is_taken_back_to_its_default() -> None:
    made = lines(teal(), {"battery.cell_warn_v": 3.3, "receiver.bind": "abcd"})
    assert made.lines == ("put volts.warn := 330", "put pair := abcd")
    assert made.undo == ("put volts.warn := 350", "~ the dump had no line for pair: nothing to take back to")
    after = pasted(teal(), typed(*made.undo))
    assert not after.unknown


def test_a_new_scope_is_opened() -> None:
    made = lines(full("knot"), {"ports.UART2.functions": ("gnss",), "ports.UART2.rates_baud.gnss": 9600})
    assert made.lines == ("[link C]", "carries = gnss", "rate.gnss = 9600")
    assert made.undo == ("[link C]", "carries = idle", "rate.gnss = 38400")


def test_a_dump_of_changes_is_written_from_its_defaults() -> None:
    reading = teal("tune 2", "put grip := 5", extent="some")
    made = wants(reading, {parse("ports.UART2.functions"): ("telemetry",), parse("profiles.2.grip"): 6})
    assert made.lines == ("line l2 jobs 0x20 pace 9600", "tune 2", "put grip := 6")
    assert made.undo == ("line l2 jobs 0x0 pace 9600", "tune 2", "put grip := 5")


# What cannot be written


@pytest.mark.parametrize(
    ("name", "wanted", "why"),
    [
        ("teal", {"gnss.home": "x"}, "teal has no setting for gnss.home"),
        ("teal", {"battery": 3}, "teal has no setting for battery"),
        ("teal", {"ports.UART9.rate_baud": 9600}, "line {id} jobs {jobs} pace {rate}: UART9 has no word"),
        ("teal", {"ports.UART1.functions": ("gnss",)}, "holds gnss, for which this firmware has no bit"),
        ("teal", {"ports.UART1.rate_baud": 300}, "300 is outside 1200 to 115200"),
        ("teal", {"battery.cell_warn_v": 3.333}, "3.333 is finer than the steps of 0.01"),
        ("teal", {"battery.cell_warn_v": "much"}, "volts.warn: much is not a number"),
        ("teal", {"battery.cell_warn_v": float("nan")}, "volts.warn: nan is not a number"),
        ("teal", {"osd.drive": "both"}, "both has no word; the firmware knows chip, displayport and off"),
        ("teal", {"osd.elements.warnings.row": 13}, "holds the row 13, which is outside 0 to 12"),
        ("teal", {"osd.elements.warnings.column": 64}, "does not fit in 6 bits"),
        ("teal", {"arming.checks": 1}, "checks: 1 is neither yes nor no"),
        ("teal", {"receiver.bind": "hare"}, "pair: its value does not fit"),
        ("teal", {"outputs.x.motor": 1}, "leg {n} spins m{motor} on {pin}: x is not a whole number"),
        ("teal", {"profiles.9.grip": 1}, "tune {n}: 9 is outside 1 to 3"),
        ("teal", {"profiles.active": 9}, "tune {n}: 9 is outside 1 to 3"),
        ("knot", {"ports.UART9.functions": ("gnss",)}, "link {id}: UART9 has no word"),
        ("knot", {"ports.USB.functions": ("vtx",)}, "carries: vtx has no word"),
        ("knot", {"pin_setup.PZ1.timer": 3}, "pin {pin}: PZ1 is not a pin"),
        ("knot", {"identity.craft_name": "a\x1b"}, "craft: a\x1b is not plain text"),
    ],
)  # fmt: skip
def test_what_cannot_be_written_says_why(name: str, wanted: dict[str, Value], why: str) -> None:
    made = lines(full(name), wanted)
    assert (made.lines, made.undo) == ((), ())
    assert why in " ".join(made.cannot)


def test_the_rest_is_written_all_the_same() -> None:
    made = lines(full("teal"), {"gnss.home": "x", "osd.drive": "chip", "ports.UART9.rate_baud": 9600})
    assert made.lines == ("put screen := camera",)
    assert len(made.cannot) == 2


def test_a_line_that_would_be_read_otherwise_is_not_written() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "forms:\n- line: 'tap {use} is {what}'\n  cells: {use: text, what: text}\n"
        "  gives: {'pins.{use}': what}\n"
    )
    reading = read(made, "tap a is PB6")
    assert lines(reading, {"pins.a": "two words"}).lines == ('tap a is "two words"',)
    refused = lines(reading, {"pins.a": "x=1"})
    assert not refused.lines
    assert "would be read back as something else" in refused.cannot[0]


ANY_VALUE = (
    st.booleans() | st.integers() | st.floats() | st.text(max_size=6)
    | st.lists(st.sampled_from(["gnss", "receiver", "bit9", 1]), max_size=3).map(tuple)
)  # fmt: skip


@each_dump
@given(st.data(), ANY_VALUE)
@settings(max_examples=25, deadline=None)
def test_any_value_is_written_or_refused(name: str, data: st.DataObject, value: Value) -> None:
    reading = full(name)
    path = data.draw(st.sampled_from(list(reading.givers)))
    made = write(reading, {path: value})
    assert made.complete is bool(made.lines)
    if made.complete:
        entry = reading.givers[path]
        after = pasted(reading, typed(*made.lines)).model.leaves[path].value
        assert write(reading, {path: after}).lines == made.lines, entry.label


def test_the_dumps_of_the_tests_are_whole() -> None:
    assert TEAL_FULL
    assert KNOT_FULL
    assert [name for name in NAMES if full(name).unknown or full(name).doubts or full(name).repeats] == []


# The operator as the firmware writes it


@pytest.mark.parametrize("way", ["{name}: {value}", "{name}:= {value}", "{name}={value}", "{name} : {value}"])
@pytest.mark.parametrize("family", ["console", "sectioned"])
def test_an_assignment_is_written_as_its_dialect_does(family: str, way: str) -> None:
    form = way.replace("{name}", "rate.{job}").replace("{value}", "{baud}")
    dialect = compiled(
        f"dialect: wren\nfamily: {family}\nheader: wren {{firmware.version}}\nremark: '~'\n"
        f"assignment: '{way}'\n"
        f"forms:\n- line: '{form}'\n"
        "  cells: {job: {words: {gps: gnss, tele: telemetry}}, baud: integer}\n"
        "  gives: {'ports.UART1.rates_baud.{job}': baud}\n"
        "settings:\n  volts: {is: battery.capacity_mah, integer: }\n"
    )

    def line(name: str, value: int) -> str:
        return way.replace("{name}", name).replace("{value}", str(value))

    held = (line("volts", 350), line("rate.gps", 9600))
    wanted: dict[Path, Value] = {
        parse("battery.capacity_mah"): 360,
        parse("ports.UART1.rates_baud.gnss"): 38400,
    }
    lines = wants(read(dialect, "~ wren 1.0", *held), wanted)
    assert sorted(lines.lines) == sorted((line("volts", 360), line("rate.gps", 38400)))
    assert sorted(lines.undo) == sorted(held)

"""The columns family: port numbers, what stands between the columns, texts and lists in them."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.codec.port import Port
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import pasted
from cfgaudit.dialect.write import write
from cfgaudit.model.path import parse
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Value
from tests.dialect.small import compiled, leaves, read, typed

RAIL = """
dialect: rail
family: columns
header: "rail {firmware.version}"
forms:
  - line: "LINE{id}_DOES,{jobs}"
    cells: {id: port, jobs: {bits: {0: gnss, 3: msp}}}
    gives: {"ports.{id}.functions": jobs}
    factory: ["LINE0_DOES,8", "LINE2_DOES,0"]
  - line: "BEND{n},{points...}"
    cells: {n: integer, points: {list: {of: integer, separated: ",", empty: NONE}}}
    gives: {"rates.{n}.points": points}
  - line: "LAMP{n},{tint},{note}"
    cells: {n: integer, tint: {text: }, note: {text: , quoted: true}}
settings:
  CALLED: {is: identity.craft_name, text: , quoted: false}
  NOTE: {text: , quoted: true}
  HALVES: {list: {of: integer, separated: "/"}}
  WARN: {is: battery.cell_warn_v, decimal: 0.001}
"""
BLANK = (
    RAIL.replace("LINE{id}_DOES,", "LINE{id}_DOES ")
    .replace("DOES,8", "DOES 8")
    .replace("DOES,0", "DOES 0")
    .replace("BEND{n},", "BEND{n} ")
    .replace("LAMP{n},{tint},", "LAMP{n} {tint} ")
    .replace("family: columns", 'family: columns\nseparator: " "')
)
COMMAS, BLANKS = compiled(RAIL), compiled(BLANK)
WREN = 'dialect: wren\nheader: "wren {firmware.version}"\n'
BOARD = {0: "USB", 2: "UART6", 6: "UART2"}


# Port numbers


def test_a_port_is_named_by_the_board() -> None:
    port = Port(BOARD)
    assert [port.read(text) for text in ("0", "2", "6", "3")] == ["USB", "UART6", "UART2", "PORT3"]
    assert [port.write(id) for id in ("USB", "UART6", "UART2", "PORT3")] == ["0", "2", "6", "3"]


@pytest.mark.parametrize("text", ["-1", "x", "", "2.0", "0x2"])
def test_what_is_no_port_number(text: str) -> None:
    with pytest.raises(Misfit):
        Port(BOARD).read(text)


@pytest.mark.parametrize("id", ["UART4", "PORT", "PORT2", "PORTX", "SOFT1"])
def test_a_port_without_a_number_says_where_it_is_declared(id: str) -> None:
    with pytest.raises(Misfit, match=rf"board\.ports\.{id}\.number"):
        Port(BOARD).write(id)


def test_the_same_line_on_two_boards() -> None:
    lines = ("# rail 1.0", "LINE0_DOES,8", "LINE2_DOES,1")
    assert leaves(read(COMMAS, *lines), "ports") == {
        "ports.PORT0.functions": ("msp",),
        "ports.PORT2.functions": ("gnss",),
    }
    assert leaves(read(COMMAS.on_board(BOARD), *lines), "ports") == {
        "ports.USB.functions": ("msp",),
        "ports.UART6.functions": ("gnss",),
    }


def test_a_board_means_nothing_to_a_dialect_that_names_the_chip_s_ports() -> None:
    plain = compiled(f"{WREN}family: console\nsettings: {{a: integer}}\n")
    assert not plain.numbers_ports
    assert plain.on_board(BOARD) is plain
    assert COMMAS.on_board({}) is COMMAS


def test_lines_are_written_with_the_board_s_numbers() -> None:
    reading = read(COMMAS.on_board(BOARD), "# rail 1.0", "LINE0_DOES,8", "LINE2_DOES,1")
    wanted: dict[str, Value] = {"ports.UART6.functions": ("msp",), "ports.UART2.functions": ("gnss",)}
    lines = write(reading, {parse(path): value for path, value in wanted.items()})
    assert (lines.lines, lines.cannot) == (("LINE2_DOES,8", "LINE6_DOES,1"), ())
    assert lines.undo[0] == "LINE2_DOES,1"
    cannot = write(reading, {parse("ports.UART4.functions"): ("gnss",)}).cannot
    assert "board.ports.UART4.number" in cannot[0]


def test_factory_lines_are_on_the_board_too() -> None:
    reading = read(COMMAS.on_board(BOARD), "# rail 1.0, changed")
    assert reading.dialect.numbers_ports
    made = {form.line.text: form.factory for form in reading.dialect.scopes[0].forms}
    assert made["LINE{id}_DOES,{jobs}"] == ("LINE0_DOES,8", "LINE2_DOES,0")
    lines = write(reading, {parse("ports.UART6.functions"): ("msp",)})
    assert (lines.lines, lines.undo) == (("LINE2_DOES,8",), ("LINE2_DOES,0",))


# Between the columns


def test_blanks_between_the_columns() -> None:
    rows = ("# rail 1.0", "LINE2_DOES   1", "BEND1\t1,2,3", "WARN 3500", "CALLED two words")
    reading = read(BLANKS.on_board(BOARD), *rows)
    assert not reading.unknown
    assert leaves(reading) == {
        "ports.UART6.functions": ("gnss",),
        "rates.1.points": (1, 2, 3),
        "battery.cell_warn_v": 3.5,
        "identity.craft_name": "two words",
    }
    lines = write(reading, {parse("ports.UART6.functions"): (), parse("battery.cell_warn_v"): 3.6}).lines
    assert lines == ("LINE2_DOES 0", "WARN 3600")


@pytest.mark.parametrize(("dialect", "line"), [(COMMAS, "WARN 3500"), (BLANKS, "WARN,3500")])
def test_the_other_kind_of_column_may_be_typed(dialect: Dialect, line: str) -> None:
    """What separates a line is seen from the line; the dialect says how it is written."""
    reading = read(dialect, "# rail 1.0", line)
    assert leaves(reading, "battery") == {"battery.cell_warn_v": 3.5}


@pytest.mark.parametrize("family", ["console", "sectioned"])
def test_only_columns_have_a_separator(family: str) -> None:
    with pytest.raises(Refusal, match="'separator' goes with the columns family") as refused:
        compiled(f"{WREN}family: {family}\nseparator: ','\n")
    assert str(refused.value.place).endswith(":4:12")


def test_a_line_without_a_column_is_refused() -> None:
    with pytest.raises(Refusal, match="a column of the line is empty"):
        compiled(RAIL.replace("BEND{n},", "BEND{n},,"))


# Lists and texts


def test_a_list_stands_in_columns_like_the_others() -> None:
    reading = read(COMMAS, "# rail 1.0", "BEND1,1, 2,3", "HALVES,1 / 2", "BEND2,NONE")
    assert leaves(reading) == {"rates.1.points": (1, 2, 3), "rates.2.points": ()}
    lines = write(reading, {parse("rates.1.points"): (4, 5), parse("rates.2.points"): (6,)})
    assert (lines.lines, lines.undo) == (("BEND1,4,5", "BEND2,6"), ("BEND1,1, 2,3", "BEND2,NONE"))
    halves = COMMAS.scopes[0].settings["HALVES"].cells["value"].codec
    assert halves.write((1, 2)) == "1/ 2"  # not what separates the columns


@pytest.mark.parametrize("name", ["two words", "a, b", "it's", "x=1", "50 %"])
def test_text_that_is_never_in_quotes(name: str) -> None:
    reading = read(COMMAS, "# rail 1.0", "CALLED,x")
    lines = write(reading, {parse("identity.craft_name"): name})
    assert (lines.lines, lines.undo) == ((f"CALLED,{name}",), ("CALLED,x",))
    assert leaves(pasted(reading, typed(*lines.lines))) == {"identity.craft_name": name}


@pytest.mark.parametrize("name", ["", " a", "a ", '"a"', "# a", "a # b", "~", "a,"])
def test_text_that_cannot_go_without_quotes(name: str) -> None:
    reading = read(COMMAS, "# rail 1.0", "CALLED,x")
    lines = write(reading, {parse("identity.craft_name"): name})
    assert (lines.lines, len(lines.cannot)) == ((), 1)


def test_text_in_quotes_holds_a_comma() -> None:
    reading = read(COMMAS, "# rail 1.0", 'NOTE,"a, b",', 'LAMP3,20c0a0,"left, low"', 'CALLED,"a, b"')
    assert not reading.unknown
    assert {name: leaf.value for name, leaf in reading.model.settings.items()} == {
        "NOTE": '"a, b"',
        "LAMP3 tint": "20c0a0",
        "LAMP3 note": '"left, low"',
    }
    assert leaves(reading) == {"identity.craft_name": "a, b"}  # written either way, read alike

"""Lines of another version in a preset: what they are here, and that they keep what is private."""

from __future__ import annotations

from cfgaudit.compare.preset.elsewhere import Elsewhere, typed_here
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.typed import Session, prepared
from tests.dialect.small import compiled, read, typed

RAVEN = """
dialect: raven
family: console
header: "raven {firmware.version}, {extent}"
extent: {full: all, changed: some}
remark: "#"
assignment: "{name} := {value}"
forms:
  - line: "owner {n} {name} {number}"
    key: [n]
    until: "2.0"
    cells: {n: integer, name: {text: "[a-z]{0,20}", private: true}, number: integer}
    gives: {"profiles.{n}.number": number}
  - line: "held {n} by {number} {name}"
    key: [n]
    since: "2.0"
    cells: {n: integer, name: {text: "[a-z]{0,8}", private: true}, number: integer}
    gives: {"profiles.{n}.number": number}
settings:
  code: {text: "[a-z]{6}", private: true}
  pace: {integer: , range: [0, 9]}
renamed: {"2.0": {code: lock, pace: speed}, "3.0": {lock: bolt}}
"""


def here(*rows: str) -> tuple[Session, dict[int, Elsewhere]]:
    dump = read(compiled(RAVEN), "# raven 2.1, all", "held 1 by 3 ann", "lock := abcdef", "speed := 3")
    session, elsewhere = typed_here(prepared(dump, typed(*rows)))
    return session, {**elsewhere}


def told(session: Session, elsewhere: dict[int, Elsewhere]) -> list[str]:
    """All that is said of the lines."""
    why = [why_nothing(one, session.before, elsewhere) for one in session.typed]
    return [*why, *map(session.shown, session.statements)]


def test_a_line_of_another_version_is_said_in_this_ones_words() -> None:
    _, elsewhere = here("owner 1 hidden 4", "pace := 5")
    assert [elsewhere[line].spoken for line in (1, 2)] == ["held 1 by 4 hidden", "speed := 5"]


def test_a_value_that_no_version_takes_is_not_called_a_line_that_this_one_lacks() -> None:
    _, elsewhere = here("pace := 12")
    assert (elsewhere[1].spoken, elsewhere[1].why) == (
        "",
        "that version does not take it either: 12 is outside 0 to 9",
    )


def test_a_private_value_of_another_version_is_not_in_any_reason() -> None:
    for line in ("owner 1 hiddenhidden 4", "code := hiddenhidden", "bolt := hidden", "code := hidden"):
        assert not [text for text in told(*here(line)) if "hidden" in text], line


def test_nor_is_it_in_a_remark_that_was_such_a_line() -> None:
    for line in ("# code := hidden", "#bolt := hidden", "# owner 1 hidden 4", "# lock := hidden"):
        assert not [text for text in told(*here(line, "speed := 4")) if "hidden" in text], line

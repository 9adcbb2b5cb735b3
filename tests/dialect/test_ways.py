"""Settings that versions write differently: which way is in force, and what is known without a version."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Scope
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dialect.write import write
from cfgaudit.model.model import Unknown
from cfgaudit.model.path import parse
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from tests.dialect.small import compiled, leaves, read

WREN = """
dialect: wren
family: console
versions: ">=1.0 <5.0"
header: "wren {firmware.version} {extent}"
settings:
  low:
    - {is: battery.cell_warn_v, decimal: 0.01, range: [2.5, 4.2], default: 3.5, until: "2"}
    - {is: battery.cell_warn_v, decimal: 0.001, range: [2.5, 4.2], default: 3.4, since: "2", until: "4"}
    - {is: battery.cell_warn_v, decimal: 0.001, range: [2.5, 4.2], since: "4"}
  gusts:
    - {is: limits.a, integer: , range: [0, 100], default: 20, until: "2"}
    - {is: limits.a, integer: , range: [10, 120], default: 20, since: "2"}
  glow:
    - {integer: , range: [0, 5], default: 1, until: "3"}
    - {integer: , range: [0, 9], default: 2, since: "3"}
  pair:
    - {is: receiver.bind, integer: , until: "2"}
    - {is: receiver.bind, text: "[a-f]+", private: true, after: restart, since: "2"}
  alone: [{is: limits.b, integer: , default: 4, since: "2"}]
renamed:
  "3": {low: warn-at}
moved:
  "1.5": {low: 3.6}
  "3": {warn-at: 3.3}
"""
DIALECT = compiled(WREN)
CELL = parse("battery.cell_warn_v")


def wren(version: str, *rows: str, extent: str = "full") -> Reading:
    return read(DIALECT, f"# wren {version} {extent}", *rows)


@pytest.mark.parametrize(
    ("version", "name", "written", "wanted"),
    [
        ("1.9", "low", "345", "320"),
        ("2.0", "low", "3450", "3200"),
        ("2.9.9", "low", "3450", "3200"),
        ("3.0", "warn-at", "3450", "3200"),
        ("4.1", "warn-at", "3450", "3200"),
    ],
)
def test_the_way_of_the_version_is_read_and_written(
    version: str, name: str, written: str, wanted: str
) -> None:
    reading = wren(version, f"{name} = {written}")
    assert leaves(reading) == {"battery.cell_warn_v": 3.45}
    assert not reading.doubts
    lines = write(reading, {CELL: 3.2})
    assert (lines.lines, lines.undo) == ((f"{name} = {wanted}",), (f"{name} = {written}",))


def test_the_handwriting_of_another_version_is_doubted() -> None:
    (doubt,) = wren("2.1", "low = 345").doubts
    assert doubt.why == "means 0.345 and is outside 2.5 to 4.2"


@pytest.mark.parametrize(
    ("version", "default"),
    [("1.4", 3.5), ("1.5", 3.6), ("2", 3.4), ("2.9", 3.4), ("3", 3.3), ("3.9", 3.3)],
)
def test_a_way_begins_with_its_own_default_and_later_moves_are_its_own(version: str, default: float) -> None:
    assert leaves(wren(version, extent="changed"))["battery.cell_warn_v"] == default


def test_a_way_without_a_default_takes_none_from_before() -> None:
    assert wren("4", extent="changed").model.at(CELL) == Unknown(CELL)


def test_without_a_version_a_number_that_may_mean_two_things_is_a_text() -> None:
    for extent in ("full", "changed"):
        reading = wren("new", "low = 3450", extent=extent)
        assert reading.model.at(CELL) == Unknown(CELL)
        assert reading.model.settings["low"].value == "3450"
        assert not reading.doubts
        assert not reading.unknown
        assert write(reading, {CELL: 3.2}).cannot == ("wren has no setting for battery.cell_warn_v",)
    assert "low" not in wren("new", extent="changed").model.settings  # its default is not known


def test_without_a_version_what_all_write_alike_is_read() -> None:
    reading = wren("new", "gusts = 5")
    assert leaves(reading, "limits") == {}
    assert reading.model.tree["limits"]["a"] == 5
    assert not reading.doubts
    (doubt,) = wren("new", "gusts = 121").doubts
    assert doubt.why == "is outside 0 to 120"
    changed = wren("new", extent="changed").model
    assert changed.tree["limits"] == {"a": 20, "b": 4}  # all of them begin with these
    assert "glow" not in changed.settings  # one began with another


def test_private_in_one_way_is_private_without_a_version() -> None:
    assert [name for name, _ in wren("new", "pair = fade").private] == ["pair"]
    assert [name for name, _ in wren("1", "pair = 7").private] == []
    assert DIALECT.at("2").after(parse("receiver.bind")) == "restart"
    assert DIALECT.at("1").after(parse("receiver.bind")) == ""


def test_one_way_alone_is_a_setting() -> None:
    assert wren("2", "alone = 5").model.tree["limits"] == {"b": 5}
    assert len(wren("1", "alone = 5").unknown) == 1


def test_ways_that_meet_are_refused_with_their_place() -> None:
    with pytest.raises(Refusal, match="would write 'low' in two ways") as refused:
        compiled(WREN.replace('default: 3.4, since: "2"', 'default: 3.4, since: "1.9"'))
    assert refused.value.place == Place("own.yaml", 9, 7)
    assert "since and until" in refused.value.mend
    with pytest.raises(Refusal, match="two ways"):
        compiled(WREN.replace('until: "2"}\n    - {is: receiver', "}\n    - {is: receiver"))


@pytest.mark.parametrize(
    ("spec", "says"),
    [
        ("[]", "low"),
        ("[[integer]]", "a way of writing the setting"),
        ("[integer]", "a way of writing the setting"),
        ("[{integer: , decimal: 0.1}]", "has integer and decimal"),
        ("[{integer: , default: 1, range: [2, 3]}]", "the default 1 is outside 2 to 3"),
    ],
)
def test_what_is_wrong_with_a_way(spec: str, says: str) -> None:
    with pytest.raises(Refusal) as refused:
        compiled(
            f"dialect: wren\nfamily: console\nheader: wren {{firmware.version}}\nsettings:\n  low: {spec}\n"
        )
    assert says in f"{refused.value.what}; {refused.value.mend}"
    assert refused.value.place is not None
    assert refused.value.place.line == 5


def test_ports_that_the_board_numbers_are_known_in_every_way() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "settings:\n"
        "  eyes:\n"
        "    - {is: gnss.protocol, words: {a: ubx}, until: '2'}\n"
        "    - {is: gnss.protocol, port: , since: '2'}\n"
    )
    assert made.numbers_ports
    board = made.on_board({3: "UART4"})
    assert leaves(read(board, "# wren 2", "eyes = 3")) == {"gnss.protocol": "UART4"}
    assert leaves(read(board, "# wren 1", "eyes = a")) == {"gnss.protocol": "ubx"}
    assert leaves(read(board, "# wren new", "eyes = 3")) == {}


# What a setting is called changes, what it is does not


def versions_of(dialect: Dialect) -> list[str]:
    """A version of each time that the dialect tells of."""
    forms = [form for scope in dialect.scopes for form in scope.all_forms()]
    told = {bound for form in forms for way in (form, *form.ways) for bound in (way.since, way.until)}
    steps = {since for since, _ in (*dialect.renamed, *dialect.moved)}
    first = next(bound for operator, bound in dialect.versions.terms if operator == ">=")
    return [".".join(map(str, first)), *sorted({*told, *steps} - {""})]


@pytest.mark.parametrize("dialect", [*shipped_dialects(), DIALECT], ids=lambda one: one.name)
def test_kin_is_the_name_in_the_file_and_unique_in_every_version(dialect: Dialect) -> None:
    def kin(scope: Scope) -> list[str]:
        return [form.kin for form in scope.settings.values()]

    for scope in dialect.scopes:
        assert kin(scope) == list(scope.settings)
    for version in (*versions_of(dialect), ""):
        for whole, there in zip(dialect.scopes, dialect.at(version).scopes, strict=True):
            in_force = kin(there)
            assert len(set(in_force)) == len(in_force)
            assert {*in_force} <= {*whole.settings}
            assert all(name == form.name for name, form in there.settings.items())
            ways = [way for form in whole.settings.values() for way in form.ways or (form,)]
            expected = [way.kin for way in ways if form_is_there(way.since, way.until, version)]
            # as many as the file has for that version: none has taken another's name
            assert len(in_force) == (len(expected) if version else len(whole.settings))


def form_is_there(since: str, until: str, version: str) -> bool:
    number = [int(part) for part in version.split(".")] if version else []
    bounds = ([int(part) for part in bound.split(".")] if bound else [] for bound in (since, until))
    first, last = bounds
    return first <= number and (not last or number < last)


def test_names_that_are_swapped_keep_their_kin() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "settings: {a: {is: limits.a, integer: }, b: {is: limits.b, integer: }}\n"
        'renamed: {"2": {a: b, b: a}}\n'
    )
    reading = read(made, "# wren 2.0", "a = 1", "b = 2")
    assert {entry.label: entry.form.kin for entry in reading.entries} == {"a": "b", "b": "a"}
    assert not reading.repeats

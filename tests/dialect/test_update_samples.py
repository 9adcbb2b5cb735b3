"""The dumps of heron's update from dunlin 2.3.1 to 3.0: two untouched firmwares, and a careless paste."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

import pytest

from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.factory import factory_entries
from cfgaudit.dialect.read import decode, read_dump
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.recognise import recognise
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dialect.sort import last_wins, sort
from cfgaudit.dump.text import Text
from cfgaudit.model.path import parse
from tests.dialect.dumps import sample

FACTORY = {"2.3.1": "factory-2.3.1.txt", "3.0.0": "factory-3.0.txt"}
AFTER = "after-update.txt"


@cache
def heron(name: str) -> Reading:
    text = Text(name, sample("heron", name), "utf-8", mark=False)
    return read_dump(text, recognise(text, shipped_dialects()))


@pytest.mark.parametrize("name", [*FACTORY.values(), AFTER])
def test_every_line_is_understood_and_none_is_doubted(name: str) -> None:
    reading = heron(name)
    assert (reading.extent, reading.unknown, reading.doubts, reading.repeats) == (Extent.FULL, (), (), ())
    assert reading.dialect_name == "dunlin"


def declared(reading: Reading) -> Iterator[Entry]:
    """What an untouched firmware has in every scope that a dump opens, and outside of them."""
    dialect = reading.dialect
    yield from factory_entries(dialect, dialect.scopes[0], {}, "")
    for entry in reading.entries:
        if entry.opens:
            yield from factory_entries(dialect, entry.scope, entry.outer, entry.head)


@pytest.mark.parametrize("version", FACTORY)
def test_an_untouched_firmware_tells_every_default_that_the_dialect_declares(version: str) -> None:
    reading = heron(FACTORY[version])
    assert reading.recognition.version == version
    told = {entry.slot: entry for entry in reading.entries}
    for entry in declared(reading):
        if entry.head.startswith("link ") and "{job}" in entry.form.line.text:
            # a link tells the desk's rate and those of the jobs that it carries
            assert (entry.slot in told) is (entry.keys == ("console-link",)), entry.label
            continue
        line = told.pop(entry.slot)
        assert line.texts == entry.texts, entry.label
    for entry in told.values():  # what no firmware has of itself, but by the board
        assert entry.opens or entry.head.split()[0] in ("link", "output", "pin"), entry.label
    rates = {entry.texts["baud"] for entry in told.values() if "baud" in entry.texts}
    assert rates == {"115200"}


@pytest.mark.parametrize("version", FACTORY)
def test_it_opens_every_scope(version: str) -> None:
    reading = heron(FACTORY[version])
    opened = {entry.head for entry in reading.entries if entry.opens}
    single = {
        scope.opens.text
        for scope in reading.dialect.scopes
        if scope.opens and not scope.cells and scope.settings
    }
    assert single <= opened
    counted = {head.split()[0]: 0 for head in opened}
    for head in opened:
        counted[head.split()[0]] += 1
    several = {"link": 8, "range": 10, "output": 8, "pin": 7, "tuning": 3, "feel": 2}
    assert {head: count for head, count in counted.items() if count > 1} == several


@pytest.mark.parametrize("version", FACTORY)
def test_it_carries_nothing_of_anybody(version: str) -> None:
    reading = heron(FACTORY[version])
    assert reading.private == ()
    tree = reading.model.tree
    assert {id: port["functions"] for id, port in tree["ports"].items()} == {
        "USB": ["console-link"], **{f"UART{n}": [] for n in (1, 2, 3, 4, 6, 7, 8)},
    }  # fmt: skip
    motors = {n: one["motor"] for n, one in tree["outputs"].items() if "motor" in one}
    assert motors == {"1": 1, "2": 2, "3": 3, "4": 4}
    board = heron("known-good.txt").model.tree
    assert tree["pin_setup"] == board["pin_setup"]
    assert {n: one["pin"] for n, one in tree["outputs"].items()} == {
        n: one["pin"] for n, one in board["outputs"].items()
    }
    assert "modes" not in tree


def careless() -> tuple[Sequence[Entry], list[str]]:
    """The lines in force after all lines of the known-good dump were typed into an untouched 3.0, and
    those that it did not take."""
    new = heron(FACTORY["3.0.0"])
    typed = sort(new.dialect, heron("known-good.txt").dump.statements)
    refused = [one.text.strip() for one in typed.unknown]
    taken = []
    for entry in typed.entries:
        if decode(entry, "dunlin").doubts:
            refused.append(" ".join(entry.statement.words))
        else:
            taken.append(entry)
    in_force, _ = last_wins([*new.entries, *taken])
    return in_force, refused


def test_after_a_careless_paste_what_was_not_taken_stands_as_it_came() -> None:
    in_force, refused = careless()
    assert refused == [
        "desk-pace = 24", "used-alarm = 16800", "sag-help = 0", "spin-from = 50", "stick-low = 35",
        "lean-low = 12", "camera-tilt = -30", "fixes-needed = 10", "lean-limit = 20",
        "cell-full = 420", "cell-low = 330", "cell-flat = 300", "gust-help = 45",
    ]  # fmt: skip
    lines = {entry.slot: entry for entry in in_force}
    # a pin turns a motor or serves something: an output with a motor tells only that
    turned = {entry.head for entry in in_force if entry.form.kin == "motor"}
    lines = {
        at: entry for at, entry in lines.items() if not (entry.form.kin == "serves" and entry.head in turned)
    }
    told = {entry.slot: entry for entry in heron(AFTER).entries}
    assert told.keys() == lines.keys()
    assert [entry.label for at, entry in told.items() if entry.texts != lines[at].texts] == []


@pytest.mark.parametrize(
    ("path", "before", "after"),
    [
        ("battery.current_scale", 23.5, 2.35),  # 235 means another number now
        ("battery.cell_warn_v", 3.3, 3.5),
        ("battery.warn_used_mah", 16800, 0),  # renamed
        ("arming.angle_limit_deg", 20, 25),
        ("profiles.2.gust_help_percent", 45, 20),  # no longer allowed
        ("motors.props", "in", "in"),
        ("failsafe.duration_s", 20, 20),
    ],
)
def test_what_the_paste_has_done(path: str, before: object, after: object) -> None:
    found = [heron(name).model.leaves[parse(path)].value for name in ("known-good.txt", AFTER)]
    assert found == [before, after]


def test_what_3_0_begins_with() -> None:
    old, new = (heron(name).model for name in FACTORY.values())
    moved = {
        ".".join(path): (leaf.value, new.leaves[path].value)
        for path, leaf in old.leaves.items()
        if path[0] != "firmware" and leaf.value != new.leaves[path].value
    }
    assert moved == {
        "battery.cell_empty_v": (3.3, 3.2),
        "failsafe.delay_s": (0.5, 0.8),
        "failsafe.duration_s": (10.0, 20.0),
        "motors.props": ("in", "out"),
    }
    gone = {"desk-pace", "picture / camera-tilt", "smoothing / stick-low", "smoothing / lean-low"}
    renamed = {"motors / sag-help", "position / fixes-needed"}
    assert old.settings.keys() - new.settings.keys() == gone | renamed
    assert new.settings.keys() - old.settings.keys() == {
        "lost-link / call-sinking", "motors / sag-lift", "motors / jam-stop", "pack / sag-share",
        "smoothing / stick-calm", "smoothing / lean-quiet", "position / fixes-least",
        "position / oldest-fix", "wind / learns", "wind / most", "wind / beyond",
        "signals / call-pattern.pack-low", "signals / call-pattern.link-lost",
        "signals / call-pattern.found",
    }  # fmt: skip

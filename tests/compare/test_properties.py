"""What holds for any two configurations."""

from __future__ import annotations

from collections.abc import Mapping

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cfgaudit.compare.change import Change
from cfgaudit.compare.compare import compare
from cfgaudit.compare.difference import canonical
from cfgaudit.compare.nested import differences
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.path import Path
from cfgaudit.model.place import Default, Origin, Place
from cfgaudit.model.value import Scalar, Value
from tests.compare.sides import Side

few = st.sampled_from
NUMBERS = few(["1", "2", "3", "10"])
JOBS = st.lists(few(["gnss", "msp", "receiver", "displayport"]), max_size=3).map(tuple)
SCALARS: st.SearchStrategy[Scalar] = (
    st.booleans() | st.integers(-2, 2) | few([0.5, 1.0, float("nan")]) | few(["", "none", "PB0", "1"])
)
VALUES: st.SearchStrategy[Value] = SCALARS | st.lists(SCALARS, max_size=3).map(tuple)


def leaf(
    *keys: str | st.SearchStrategy[str], value: st.SearchStrategy[Value]
) -> st.SearchStrategy[tuple[Path, Value]]:
    path = st.tuples(*(st.just(key) if isinstance(key, str) else key for key in keys))
    return st.tuples(path, value)


# Leaves as the vocabulary has them, over so few keys that two models often meet …
USUAL = st.one_of(
    leaf("ports", few(["UART1", "UART4", "UART6"]), "functions", value=JOBS),
    leaf("ports", few(["UART1", "UART4"]), "rate_baud", value=few([9600, 115200])),
    leaf("outputs", NUMBERS, "motor", value=st.integers(1, 4)),
    leaf("outputs", NUMBERS, "pin", value=few(["PB0", "PB1", "PC8", "none"])),
    leaf("outputs", NUMBERS, "use", value=few(["servo", "led-strip"])),
    leaf("mixer", NUMBERS, few(["throttle", "roll", "yaw"]), value=few([1, -1, 0.5])),
    leaf("modes", few(["arm", "beeper"]), NUMBERS, "channel", value=st.integers(5, 6)),
    leaf("modes", few(["arm", "beeper"]), NUMBERS, few(["from_us", "to_us"]), value=few([900, 2100])),
    leaf("osd", "elements", few(["speed", "warnings"]), few(["column", "row"]), value=st.integers(0, 2)),
    leaf("osd", "elements", few(["speed", "warnings"]), "shown", value=st.booleans()),
    leaf("profiles", NUMBERS, few(["roll_gain", "yaw_gain"]), value=st.integers(40, 42)),
    leaf("battery", few(["cells", "cell_warn_v"]), value=few([0, 3.5, 3.6])),
    leaf("receiver", few(["link", "bind"]), value=few(["crsf", "sbus"])),
)
# … and leaves in shapes that it has not.
KEYS = few(["ports", "outputs", "modes", "osd", "elements", "functions", "pin", "1", "__x", "gain_v"])
STRANGE = st.tuples(st.lists(KEYS, min_size=1, max_size=5).map(tuple), VALUES)
ORIGINS: st.SearchStrategy[Origin] = few([Default("plover"), Place("a.txt", 1, 4), Place("a.txt", 9)])


def treelike(leaves: list[tuple[Path, Value]]) -> Mapping[Path, Value]:
    """Without the leaves that would run through another's."""
    kept: dict[Path, Value] = {}
    for path, value in leaves:
        clash = any(path[: len(one)] == one or one[: len(path)] == path for one in kept if one != path)
        if not clash:
            kept[path] = value
    return kept


TREES = st.lists(USUAL | STRANGE, max_size=14).map(treelike) | st.lists(USUAL, max_size=30).map(treelike)


@st.composite
def sides(draw: st.DrawFn) -> Side:
    tree = draw(TREES)
    flat = draw(st.dictionaries(few(["sys.budget", "lamp", "x_v"]), few(["1", "on", "off"])))
    lines = draw(st.lists(few(["hum", "beep 1", "beep  1"]), max_size=4))
    return Side(
        Model(
            {path: Leaf(value, draw(ORIGINS)) for path, value in tree.items()},
            {name: Leaf(value, draw(ORIGINS)) for name, value in flat.items()},
        ),
        tuple(Statement(Kind.STRAY, "a.txt", n, text, (0, 1)) for n, text in enumerate(lines, 1)),
        dialect_name=draw(few(["plover", "plover", "plover", "dunlin"])),
        waits={"receiver.link": "restart"},
    )


@given(sides())
def test_nothing_differs_from_itself(a: Side) -> None:
    assert compare(a, a).same


@given(sides(), st.data())
def test_where_a_value_was_written_does_not_matter(a: Side, data: st.DataObject) -> None:
    def elsewhere(leaves: Mapping[Path, Leaf]) -> dict[Path, Leaf]:
        names = data.draw(st.permutations(list(leaves)))
        return {name: replace(leaves[name], origin=data.draw(ORIGINS)) for name in names}

    moved = replace(a, model=Model(elsewhere(a.model.leaves), a.model.settings), unknown=a.unknown[::-1])
    assert compare(a, moved).same


@settings(max_examples=120)
@given(sides(), sides())
def test_the_way_back_mirrors_the_way_there(a: Side, b: Side) -> None:
    def key(one: Change) -> tuple[object, ...]:
        return (one.weight, one.subject, one.paths, set(one.before), set(one.after), one.effect)

    there = [key(one) for one in compare(a, b).changes]
    back = [key(replace(one, before=one.after, after=one.before)) for one in compare(b, a).changes]
    assert len(there) == len(back)
    assert all(one in back for one in there)


@settings(max_examples=120)
@given(TREES, TREES)
def test_differences_are_those_of_a_plain_comparison_leaf_by_leaf(
    one: Mapping[Path, Value], other: Mapping[Path, Value]
) -> None:
    a, b = model(one), model(other)
    assert [it.path for it in differences(a, b)] == [*dict.fromkeys(it.path for it in differences(a, b))]
    assert {it.path for it in differences(a, b)} == plainly(a, b)


@settings(max_examples=120)
@given(TREES, TREES)
def test_every_difference_is_told(one: Mapping[Path, Value], other: Mapping[Path, Value]) -> None:
    a, b = Side(model(one)), Side(model(other))
    told = compare(a, b).changes
    untold = plainly(a.model, b.model) - {path for change in told for path in change.paths}
    assert all(is_only_another_row(path, a.model, b.model) for path in untold)
    assert all(change.text and change.subject for change in told)


def model(tree: Mapping[Path, Value]) -> Model:
    return Model({path: Leaf(value, Default("plover")) for path, value in tree.items()}, {})


def plainly(a: Model, b: Model) -> set[Path]:
    def seen(side: Model, path: Path) -> object:
        if path not in side.leaves:
            return None
        value = canonical(side.leaves[path].value)
        return frozenset(value) if path[-1] == "functions" and isinstance(value, tuple) else (value,)

    return {path for path in a.leaves.keys() | b.leaves.keys() if seen(a, path) != seen(b, path)}


def is_only_another_row(path: Path, a: Model, b: Model) -> bool:
    """A mode that has the same ranges on both sides, in other rows."""

    def ranges(side: Model) -> list[str]:
        rows: dict[str, list[object]] = {}
        for where, one in sorted(side.leaves.items()):
            if len(where) == 4 and where[:2] == path[:2]:
                rows.setdefault(where[2], []).append((where[3], canonical(one.value)))
        return sorted(map(str, rows.values()))

    return len(path) == 4 and path[0] == "modes" and ranges(a) == ranges(b)

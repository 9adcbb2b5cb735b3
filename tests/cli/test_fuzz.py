"""Whatever a file holds: exit code 0, 1 or 2, one line for a fault, nothing that steers a terminal.

A run tries the same few examples each time. To look further, with others each time:

    DEEPER=50 pytest tests/cli/test_fuzz.py
"""

from __future__ import annotations

import json
import os
import pathlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from cfgaudit.model.placed import load
from tests.cli.session import AFTER, BEFORE, HERON, PRESET, SHEET, Outcome, process, run
from tests.house.checkout import ROOT

DEEPER = int(os.environ.get("DEEPER", "1"))
GUARD = 20  # seconds that one example may take; most take a tenth of one

Names = Sequence[str | pathlib.Path]


def examples(count: int) -> Callable[[Any], Any]:
    """This many examples, without a deadline: the guard is another one."""
    return settings(
        max_examples=count * DEEPER,
        derandomize=DEEPER == 1,
        deadline=None,
        suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    return tmp_path_factory.mktemp("fuzz")


@contextmanager
def guarded() -> Iterator[None]:
    """Ends an example that hangs, where the system can."""
    signal = pytest.importorskip("signal")
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def stop(*_: object) -> None:
        raise AssertionError(f"took more than {GUARD} s")

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(GUARD)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def holds(*arguments: str | pathlib.Path) -> Outcome:
    """Run a command that may end in any way but a bad one."""
    with guarded():
        outcome = run(*arguments)
    assert outcome.code in (0, 1, 2)
    for line in [*outcome.out.split("\n"), *outcome.err.split("\n")]:
        assert line.isprintable()
    if outcome.code == 2:
        assert outcome.out == ""
        assert outcome.err.count("\n") == 1
        assert outcome.err.endswith("\n")
        assert ": " in outcome.err or "; " in outcome.err
    return outcome


# Files that were well once

PIECES = [b"\0", b"\x1b[31m", b"\xff", b"\xc2\x85", b"\xe2\x80\xae", b'"', b"'", b"{", b"}", b"[", b"]", b"%"]
PIECES += [
    b":",
    b"-",
    b"#",
    b"~",
    b"&a ",
    b"*a",
    b"!",
    b"|",
    b"\r",
    b"\n",
    b"\t",
    b" ",
    b"9" * 30,
    b"-1",
    b"1e999",
]


EDITS = st.lists(
    st.tuples(
        st.sampled_from(["flip", "lose", "double", "put", "cut", "move", "turn"]),
        st.integers(0, 99_999),
        st.integers(0, 99_999),
        st.sampled_from(PIECES),
    ),
    min_size=1,
    max_size=4,
)
Edits = list[tuple[str, int, int, bytes]]


def spoilt(well: bytes, edits: Edits) -> bytes:
    """A file with some bytes flipped, lines lost or doubled, pieces put in, parts moved."""
    data = well
    for kind, first, second, piece in edits:
        at, other = first % (len(data) + 1), second % (len(data) + 1)
        lines = data.splitlines(keepends=True) or [b""]
        n = first % len(lines)
        match kind:
            case "flip":
                data = data[:at] + bytes([second % 256]) + data[at + 1 :]
            case "lose":
                data = b"".join(lines[:n] + lines[n + 1 :])
            case "double":
                data = b"".join([*lines[:n], lines[n], *lines[n:]])
            case "put":
                data = data[:at] + piece + data[at:]
            case "cut":
                data = data[:at] + data[at + second % 40 :]
            case "move":
                data = data[:at] + data[other : other + 40] + data[at:]
            case _:
                data = b"".join([*lines[:n], b" ".join(lines[n].split(b" ")[::-1]), *lines[n + 1 :]])
    return data


def file_of(name: str) -> bytes:
    return (ROOT / name).read_bytes()


@examples(6)
@given(edits=EDITS)
def test_a_spoilt_dump(edits: Edits, folder: pathlib.Path) -> None:
    data = spoilt(file_of(AFTER), edits)
    dump, mends = folder / "dump.txt", folder / "mends.txt"
    dump.write_bytes(data)
    try:
        holds("audit", dump, "--build", SHEET, "--not-judged", "--mend", mends)
        assert mends.exists() == (folder / "mends.txt.undo").exists()
    finally:
        mends.unlink(missing_ok=True)
        (folder / "mends.txt.undo").unlink(missing_ok=True)
    holds("diff", BEFORE, dump, "--format", "json")
    holds("audit", dump, "--build", SHEET, "--bench")
    holds("diff", BEFORE, dump, "--build", SHEET, "--bench", "--format", "markdown")


@examples(6)
@given(edits=EDITS)
def test_a_spoilt_preset(edits: Edits, folder: pathlib.Path) -> None:
    preset, adapted = folder / "preset.txt", folder / "adapted.txt"
    preset.write_bytes(spoilt(file_of(PRESET), edits))
    try:
        holds("preset", BEFORE, preset, "--build", SHEET, "--adapted", adapted)
        if adapted.exists():
            assert all(line.isprintable() for line in adapted.read_text("utf-8").splitlines())
            holds("preset", BEFORE, adapted, "--build", SHEET, "--format", "json")
    finally:
        adapted.unlink(missing_ok=True)
    holds("preset", BEFORE, preset, AFTER, "--build", SHEET)


@examples(4)
@given(edits=EDITS)
def test_a_spoilt_dump_after_a_preset(edits: Edits, folder: pathlib.Path) -> None:
    dump = folder / "dump.txt"
    dump.write_bytes(spoilt(file_of(AFTER), edits))
    holds("preset", BEFORE, PRESET, dump, "--build", SHEET)
    holds("preset", dump, PRESET, "--build", SHEET, "--format", "json")


@examples(4)
@given(edits=EDITS)
def test_a_spoilt_dump_in_sections(edits: Edits, folder: pathlib.Path) -> None:
    data = spoilt(file_of(HERON), edits)
    dump = folder / "dump.txt"
    dump.write_bytes(data)
    holds("audit", dump, "--build", "samples/heron/build.yaml", "--format", "json")
    holds("diff", dump, HERON)


@examples(6)
@given(edits=EDITS, part=st.sampled_from(["--old-factory", "--mine", "--new-factory", "--after"]))
def test_a_spoilt_dump_of_an_update(edits: Edits, part: str, folder: pathlib.Path) -> None:
    files: dict[str, str | pathlib.Path] = {
        "--old-factory": "samples/heron/factory-2.3.1.txt",
        "--mine": HERON,
        "--new-factory": "samples/heron/factory-3.0.txt",
        "--after": "samples/heron/after-update.txt",
    }
    dump, script = folder / "dump.txt", folder / "script.txt"
    dump.write_bytes(spoilt(file_of(str(files[part])), edits))
    files[part] = dump
    update = ["carry", *(word for pair in files.items() for word in pair)]
    try:
        holds(*update[:-2], "--build", "samples/heron/build.yaml", "--all", "--script", script)
    finally:
        script.unlink(missing_ok=True)
    holds(*update, "--dialect", "dunlin")
    holds(*update, "--build", "samples/heron/build.yaml", "--format", "json")


@examples(20)
@given(edits=EDITS)
def test_a_spoilt_build_sheet(edits: Edits, folder: pathlib.Path) -> None:
    data = spoilt(file_of(SHEET), edits)
    sheet = folder / "build.yaml"
    sheet.write_bytes(data)
    holds("audit", AFTER, "--build", sheet)


def project() -> bytes:
    """The samples' project file, from wherever it stands."""
    here = f": {ROOT / 'samples'}/vole/".encode()
    return file_of("samples/cfgaudit.yaml").replace(b": vole/", here)


@examples(20)
@given(edits=EDITS)
def test_a_spoilt_project_file(edits: Edits, folder: pathlib.Path) -> None:
    file = folder / "cfgaudit.yaml"
    file.write_bytes(spoilt(project(), edits))
    holds("audit", "vole", "--project", file, "--not-judged")


@examples(14)
@given(edits=EDITS)
def test_a_spoilt_dialect(edits: Edits, folder: pathlib.Path) -> None:
    data = spoilt(file_of("grammars/plover.yaml"), edits)
    dialect = folder / "dialect.yaml"
    dialect.write_bytes(data)
    holds("audit", AFTER, "--build", SHEET, "--dialect", dialect)


@examples(6)
@given(edits=EDITS)
def test_a_spoilt_rule_file(edits: Edits, folder: pathlib.Path) -> None:
    data = spoilt(file_of("rules/serial.yaml"), edits)
    rules = folder / "rules"
    rules.mkdir(exist_ok=True)
    (rules / "mine.yaml").write_bytes(data.replace(b"serial/", b"mine/"))
    holds("audit", AFTER, "--build", SHEET, "--rules", rules)
    holds("rules", "check", rules)


@examples(8)
@given(edits=EDITS)
def test_a_spoilt_bench_guide(edits: Edits, folder: pathlib.Path) -> None:
    holds(*bench_with(spoilt(file_of("rules/bench/4-battery.yaml"), edits), folder / "guide"))


def bench_with(data: bytes, rules: pathlib.Path) -> list[str | pathlib.Path]:
    """A bench list with a guide of one's own: a part of ours, its steps by other names."""
    (rules / "bench").mkdir(parents=True, exist_ok=True)
    (rules / "mine.yaml").write_bytes(file_of("rules/logging.yaml").replace(b"logging/", b"mine/"))
    for key in (b"step: ", b'"step": "'):
        data = data.replace(key, key + b"mine-")
    (rules / "bench" / "mine.yaml").write_bytes(data)
    return ["audit", AFTER, "--build", SHEET, "--rules", rules, "--bench"]


# Data that was well once: parts replaced, lost and doubled, so that what comes out is still YAML

ODD: list[Any] = [
    None,
    True,
    -1,
    0,
    7,
    2**63 - 1,
    -(2**63),
    1e308,
    0.1,
    "",
    " ",
    "\x1b[2J",
    "\u202e",
    "a.b",
    "{",
    "{x}",
]
ODD += [
    "{n}",
    "{value}",
    "{id...}",
    "{a}{b}",
    "PB6",
    "none",
    "0x1F",
    "on",
    ".*(a+)+$",
    "(",
    "é",
    [],
    {},
    [[]],
    {"": ""},
]
GRAFTS = st.lists(
    st.tuples(
        st.integers(0, 99_999), st.sampled_from(["replace", "lose", "double", "move"]), st.integers(0, 99_999)
    ),
    min_size=1,
    max_size=3,
)
Grafts = list[tuple[int, str, int]]


def grafted(well: Any, grafts: Grafts) -> bytes:
    """Data with some of its parts changed, as a JSON file, which is YAML too."""
    data = json.loads(json.dumps(well))
    for at, kind, other in grafts:
        spots = [*holders(data)]
        if not spots:
            break
        holder, key = spots[at % len(spots)]
        donor, name = spots[other % len(spots)]
        if kind == "replace":
            holder[key] = ODD[other % len(ODD)]
        elif kind == "lose":
            del holder[key]
        elif kind == "move":
            holder[key] = json.loads(json.dumps(donor[name]))
        elif isinstance(holder, list):
            holder.insert(key, holder[key])
        else:
            holder[f"{key}x"] = holder[key]
    return json.dumps(data).encode()


def holders(data: Any) -> Iterator[tuple[Any, Any]]:
    """Every spot of nested data: the list or mapping that holds it, and its index or key."""
    for key, inner in [
        *(data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ())
    ]:
        yield data, key
        yield from holders(inner)


@examples(6)
@given(grafts=GRAFTS)
def test_a_changed_dialect(grafts: Grafts, folder: pathlib.Path) -> None:
    dialect, mends = folder / "dialect.yaml", folder / "mends.txt"
    dialect.write_bytes(grafted(load(ROOT / "grammars/plover.yaml").data, grafts))
    try:
        holds("audit", AFTER, "--build", SHEET, "--dialect", dialect, "--mend", mends)
    finally:
        mends.unlink(missing_ok=True)
        (folder / "mends.txt.undo").unlink(missing_ok=True)
    holds("diff", BEFORE, AFTER, "--dialect", dialect)


@examples(4)
@given(grafts=GRAFTS)
def test_a_changed_dialect_in_sections(grafts: Grafts, folder: pathlib.Path) -> None:
    dialect = folder / "dialect.yaml"
    dialect.write_bytes(grafted(load(ROOT / "grammars/dunlin.yaml").data, grafts))
    holds("audit", HERON, "--build", "samples/heron/build.yaml", "--dialect", dialect)


@examples(14)
@given(grafts=GRAFTS)
def test_a_changed_build_sheet(grafts: Grafts, folder: pathlib.Path) -> None:
    sheet = folder / "build.yaml"
    sheet.write_bytes(grafted(load(ROOT / SHEET).data, grafts))
    holds("audit", AFTER, "--build", sheet, "--not-judged")
    holds("audit", AFTER, "--build", sheet, "--bench", "--format", "markdown")


@examples(20)
@given(grafts=GRAFTS)
def test_a_changed_project_file(grafts: Grafts, folder: pathlib.Path) -> None:
    file = folder / "cfgaudit.yaml"
    file.write_bytes(project())
    file.write_bytes(grafted(load(file).data, grafts))
    holds("audit", "vole", "--project", file)


@examples(8)
@given(grafts=GRAFTS)
def test_a_changed_bench_guide(grafts: Grafts, folder: pathlib.Path) -> None:
    data = load(ROOT / "rules/bench/3-usb.yaml").data
    holds(*bench_with(grafted(data, grafts), folder / "guide"))


@examples(6)
@given(grafts=GRAFTS)
def test_a_changed_rule_file(grafts: Grafts, folder: pathlib.Path) -> None:
    rules = folder / "changed"
    rules.mkdir(exist_ok=True)
    data = load(ROOT / "rules/serial.yaml").data
    (rules / "mine.yaml").write_bytes(grafted(data, grafts).replace(b'"serial/', b'"mine/'))
    holds("audit", AFTER, "--build", SHEET, "--rules", rules)
    holds("rules", "check", rules)


# Files that never were well

HEADERS = [
    b"",
    b"~ plover 4.1.2 / Reed-405 / STM32F405RGT6 / everything\n",
    b"; dunlin 2.3.1 on Sedge-743 with X\n",
]
CELLS = st.sampled_from(
    [
        *(
            "link",
            "u1",
            "u6",
            "usb",
            "does",
            "0x90",
            "0xFFFFFFFFFFFFFFF",
            "at",
            "115200",
            "-1",
            "9" * 20,
            ":=",
        ),
        *(
            "=",
            "[link A]",
            "[craft]",
            "tune",
            "1",
            "draw",
            "craft",
            "621",
            "out",
            "m1",
            "turns",
            "pin",
            "B0",
            "PZ9",
        ),
        *(
            "switch",
            "works",
            "ready",
            "by",
            "lever",
            "from",
            "to",
            "screen",
            "serial",
            '"',
            "\\",
            "~",
            ";",
            "#",
        ),
        *("\x1b[2J", "\u202e", "\0", ""),
    ]
)


@examples(8)
@given(head=st.sampled_from(HEADERS), data=st.binary(max_size=400))
@example(head=HEADERS[1], data=b"")
@example(head=HEADERS[1], data=b'\xef\xbb\xbf"')
def test_any_bytes_as_a_dump(head: bytes, data: bytes, folder: pathlib.Path) -> None:
    dump = folder / "dump.txt"
    dump.write_bytes(head + data)
    holds("audit", dump, "--build", SHEET, "--dialect", "plover")
    holds("audit", dump, "--build", SHEET, "--format", "json")
    holds("diff", dump, HERON)


@examples(5)
@given(
    head=st.sampled_from(HEADERS),
    lines=st.lists(st.lists(CELLS, max_size=7).map(" ".join), max_size=30),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
)
def test_any_words_as_a_dump(head: bytes, lines: list[str], end: str, folder: pathlib.Path) -> None:
    dump = folder / "dump.txt"
    dump.write_bytes(head + end.join(lines).encode())
    holds("audit", dump, "--build", SHEET, "--dialect", "plover", "--not-judged")
    holds("audit", dump, "--build", SHEET, "--dialect", "dunlin")
    holds("diff", dump, AFTER, "--dialect", "plover")


@examples(5)
@given(lines=st.lists(st.lists(CELLS, max_size=7).map(" ".join), max_size=30), data=st.binary(max_size=99))
def test_any_words_as_a_preset(lines: list[str], data: bytes, folder: pathlib.Path) -> None:
    preset = folder / "preset.txt"
    preset.write_bytes("\n".join(lines).encode() + data)
    holds("preset", BEFORE, preset, "--build", SHEET)
    holds("preset", HERON, preset, "--build", "samples/heron/build.yaml")


def words_of(schema: str) -> list[str]:
    """Every key and word that a schema knows: what makes random data come near to a real file."""

    def walk(node: Any) -> Iterator[str]:
        if isinstance(node, dict):
            yield from node
            for inner in node.values():
                yield from walk(inner)
        elif isinstance(node, list):
            for inner in node:
                yield from walk(inner)
        elif isinstance(node, str) and len(node) < 40:
            yield node

    return sorted(set(walk(json.loads((ROOT / "cfgaudit" / schema).read_text("utf-8")))))


def data_of(words: list[str]) -> st.SearchStrategy[Any]:
    """JSON-like data of these words and of all that is odd."""
    odd = st.sampled_from(
        [None, True, -1, 0, 2**63 - 1, -(2**63), 1e308, 0.1, "", "\x1b[2J", "\u202e", "a.b", "PA1"]
    )
    leaves = odd | st.sampled_from(words) | st.integers(-5, 3000) | st.text(max_size=8)
    keys = st.sampled_from(words) | st.text(max_size=4)
    return st.recursive(
        leaves,
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=5),
        max_leaves=25,
    )


SHEET_KEYS = [
    "craft",
    "class",
    "board",
    "devices",
    "esc",
    "motors",
    "propeller",
    "battery",
    "radio",
    "video_link",
]
SHEET_DATA = data_of(words_of("model/build.schema.json"))


@examples(30)
@given(data=st.dictionaries(st.sampled_from(SHEET_KEYS), SHEET_DATA, max_size=4) | SHEET_DATA)
def test_any_data_as_a_build_sheet(data: Any, folder: pathlib.Path) -> None:
    sheet = folder / "build.yaml"
    sheet.write_text(json.dumps(data), encoding="utf-8")
    holds("audit", AFTER, "--build", sheet, "--not-judged")
    holds("audit", AFTER, "--build", sheet, "--bench")


@examples(30)
@given(data=st.binary(max_size=300) | st.text(max_size=100).map(str.encode), kind=st.integers(0, 2))
def test_any_bytes_as_yaml(data: bytes, kind: int, folder: pathlib.Path) -> None:
    rules = folder / "any"
    rules.mkdir(exist_ok=True)
    file = rules / "any.yaml"
    file.write_bytes(data)
    option = (("--build", file), ("--dialect", file), ("--rules", rules))[kind]
    outcome = holds("audit", AFTER, *([] if kind == 0 else ["--build", SHEET]), *option)
    assert outcome.code == 2


EXPRESSIONS = st.sampled_from(
    [
        "true",
        "false",
        "device.port in model.ports",
        "model.ports[device.port].functions",
        "build.devices.all(d, d.job != device.job)",
        "model.a.b.c",
        "1 / 0",
        "b'x'",
        "1.0 / 0.0",
        "type(1)",
        "duration('1h')",
        "{1: 2}",
        "null",
        "[]",
        "derived.reading.unknown",
        "'\\x1b[2J'",
        "size(build.devices) > 2",
        "string(device)",
        "x" * 1990,
    ]
)
PATHS = EXPRESSIONS.map(lambda one: f"model.{{{one}}}.functions") | st.sampled_from(
    [
        "{''}",
        ".",
        "build.devices.0",
        "device.port",
        "derived.serial.device",
        "model.ports",
        "a b",
        "{",
        "}}",
        "derived",
    ]
)
LOOPS = [
    "device in build.devices",
    "model in build.devices",
    "true in model.ports",
    "port in model.{1/0}",
    "p in model",
]
RULES = st.fixed_dictionaries(
    {
        "id": st.sampled_from(["mine/one", "mine/two", "serial/job-nowhere", "Mine"]),
        "level": st.sampled_from(["error", "note"]),
        "title": st.text(min_size=1, max_size=5),
        "expect": EXPRESSIONS,
        "say": PATHS,
        "why": st.text(max_size=5),
        "basis": st.just("common practice"),
        "cases": st.just(
            [{"fails": {"model": {"a": [1]}, "build": {"devices": [{"gnss": {"port": "UART4"}}]}}}]
        ),
    },
    optional={
        "each": st.lists(st.sampled_from(LOOPS), max_size=2) | st.sampled_from(LOOPS),
        "needs": st.lists(PATHS, max_size=2),
        "when": EXPRESSIONS,
        "at": st.fixed_dictionaries({}, optional={"declared": st.lists(PATHS, max_size=2), "found": PATHS}),
        "about": st.lists(PATHS, max_size=2),
        "follows": st.sampled_from(["mine/one", "mine/two"]),
        "mend": st.dictionaries(
            PATHS, PATHS | st.sampled_from([1e300, -1, True, "+ gnss", "- gnss", "{1e308}"])
        ),
        "hazard": st.sampled_from(["propellers", "\x1b[2J"]),
    },
)


@examples(12)
@given(rules=st.lists(RULES, min_size=1, max_size=2))
def test_any_rules(rules: list[Any], folder: pathlib.Path) -> None:
    home = folder / "mine"
    home.mkdir(exist_ok=True)
    (home / "mine.yaml").write_text(json.dumps(rules), encoding="utf-8")
    holds("audit", AFTER, "--build", SHEET, "--rules", home)
    holds("rules", "check", home)


def test_as_real_processes(folder: pathlib.Path) -> None:
    data = b"\x1b]0;x\x07\r\n" + b"[" * 99_999
    file = folder / "any.yaml"
    file.write_bytes(data)
    for arguments in (
        ("-", "--build", SHEET),
        (AFTER, "--build", file),
        (AFTER, "--dialect", file, "--build", SHEET),
    ):
        done = process("audit", *arguments, stdin=data)
        assert (done.returncode, done.stdout) == (2, b"")
        assert done.stderr.decode("utf-8").removesuffix("\n").isprintable()

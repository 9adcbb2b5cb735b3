"""Files that were made to make a program stumble: each ends soon, and in words."""

from __future__ import annotations

import json
import pathlib
import time
from typing import Any

import pytest

from tests.cli.session import AFTER, SHEET, Outcome, refused, run
from tests.house.checkout import ROOT

SOON = 20  # seconds, on a machine that has other things to do


def rule(**more: Any) -> dict[str, Any]:
    return {
        "id": "mine/trap",
        "level": "note",
        "title": "A trap",
        "expect": "false",
        "say": "It is sprung.",
        "why": "Because.",
        "basis": "common practice",
        "cases": [{"fails": {}}],
        **more,
    }


def folder_with(content: Any, folder: pathlib.Path) -> pathlib.Path:
    (folder / "mine.yaml").write_text(json.dumps(content), "utf-8")
    return folder


def judged(folder: pathlib.Path, **more: Any) -> Outcome:
    rules = folder_with([rule(**more)], folder)
    began = time.monotonic()
    outcome = run("audit", AFTER, "--build", SHEET, "--rules", rules, "--not-judged")
    assert time.monotonic() - began < SOON
    assert outcome.code == 1
    return outcome


TOO_MUCH = {
    "brackets": "(" * 40 + "true" + ")" * 40,
    "many brackets": "(" * 990 + "true" + ")" * 990,
    "lists": "size(" + "[" * 900 + "]" * 900 + ") == 1",
    "calls": "size(" * 300 + "''" + ")" * 300 + " == 0",
    "choices": "".join(f"model.a == {n} ? true : " for n in range(60)) + "true",
    "sums": " + ".join(["1"] * 100) + " == 100",
    "steps": "model" + ".a" * 400,
    "indexes": "model" + "[0]" * 400,
    "comparisons": "1 < " * 200 + "1",
    "maps": "size([1].map(x, [x, x]).map(x, [x, x]).map(x, [x, x])) == 1",
    "blown up": "size(['" + "x" * 500 + "']" + ".map(x, x + x)" * 25 + ") == 1",
    "words": "true || '" + "x" * 3000 + "' == ''",
    "no end": "'" + "x" * 500,
    "nothing": " ",
}


@pytest.mark.parametrize("name", TOO_MUCH)
def test_an_expression_that_is_too_much(name: str, tmp_path: pathlib.Path) -> None:
    text = TOO_MUCH[name]
    line = refused("rules", "check", folder_with([rule(expect=text)], tmp_path))
    assert line.startswith(f"{tmp_path}/mine.yaml:1:")
    assert len(line) < 500
    phrase = folder_with([rule(say="It is {" + text + "}.")], tmp_path)
    assert refused("audit", AFTER, "--build", SHEET, "--rules", phrase).startswith(f"{tmp_path}/mine.yaml:1:")


NUMBERS = "[" + ", ".join(map(str, range(40))) + "]"


@pytest.mark.parametrize(
    "expect",
    [
        f"{NUMBERS}.all(a, {NUMBERS}.all(b, {NUMBERS}.all(c, a + b + c >= 0)))",
        "1 / 0 == 1",
        "model.nothing.at.all",
        "9223372036854775807 + 1 > 0",
        "'a'.matches('(')",
        "duration('a year') > duration('1h')",
    ],
)
def test_an_expression_that_ends_in_an_error_is_not_judged(expect: str, tmp_path: pathlib.Path) -> None:
    outcome = judged(tmp_path, expect=expect)
    assert "  mine/trap  A trap\n    the rule itself fails: " in outcome.out
    assert f"; write it at {tmp_path}/mine.yaml:1:68\n" in outcome.out  # at its expression
    assert "It is sprung" not in outcome.out


@pytest.mark.parametrize(
    "value",
    [
        "b'\\xff'",
        "1e999",
        "timestamp('2026-01-01T00:00:00Z')",
        "duration('1h')",
        "type(1)",
        "dyn({1: 2})",
        "[b'x']",
    ],
)
def test_a_value_that_is_no_data_is_not_said(value: str, tmp_path: pathlib.Path) -> None:
    assert "the rule itself fails: gives " in judged(tmp_path, say="It is {" + value + "}.").out


@pytest.mark.parametrize("value", ["1e300", "-9223372036854775808", "''", "[]", "null", "{'a': 1}", "'\\n'"])
def test_a_mend_to_an_odd_value_is_none(value: str, tmp_path: pathlib.Path) -> None:
    paths = ("ports.UART4.rate_baud", "osd.drive", "battery.cell_warn_v", "a.b")
    mend = dict.fromkeys(paths, "{" + value + "}")
    outcome = run(
        "audit",
        AFTER,
        "--build",
        SHEET,
        "--rules",
        folder_with([rule(mend=mend)], tmp_path),
        "--mend",
        tmp_path / "mends.txt",
    )
    assert outcome.code == 1
    assert "It is sprung." in outcome.out
    assert all(line.isprintable() for line in (tmp_path / "mends.txt").read_text("utf-8").splitlines())


def test_patterns_do_not_run_away(tmp_path: pathlib.Path) -> None:
    text = "x" * 1500
    assert "mine/trap" not in judged(tmp_path, expect=f"!'{text}'.matches('(x+x+)+y')").out


@pytest.mark.parametrize(
    ("each", "said"),
    [
        (["port in model.ports", "port in model.ports"], "the loop's name 'port' is taken"),
        ("model in build.devices", "the loop's name 'model' is taken"),
        ("true in build.devices", "the loop's name 'true' is taken"),
        ("über in build.devices", "'über in build.devices' is no loop"),
        ("port in", "'port in' is no loop"),
        ("port in nowhere", "'nowhere' is no start of a path"),
    ],
)
def test_a_loop_that_cannot_be(each: Any, said: str, tmp_path: pathlib.Path) -> None:
    assert said in refused("rules", "check", folder_with([rule(each=each)], tmp_path))


@pytest.mark.parametrize("each", ["x in model.{1 / 0}", "x in {''}", "x in model.firmware.name"])
def test_a_loop_that_leads_nowhere(each: str, tmp_path: pathlib.Path) -> None:
    judged(tmp_path, each=each, needs=["{''}"], at={"found": "{''}", "declared": ["x", "{''}"]})


def test_loops_in_loops_in_loops(tmp_path: pathlib.Path) -> None:
    loops = [f"{name} in model.osd.elements" for name in "abc"]
    outcome = judged(tmp_path, each=loops)
    assert "only the first 300 were judged" in outcome.out
    assert outcome.out.count("NOTE     It is sprung.") == 300


@pytest.mark.parametrize("depth", [60, 5_000, 200_000])
def test_depth_of_a_file(depth: int, tmp_path: pathlib.Path) -> None:
    (tmp_path / "mine.yaml").write_text("a: " + "[" * depth + "]" * depth)
    for arguments in (
        ("audit", AFTER, "--build", "mine.yaml"),
        ("diff", AFTER, AFTER, "--dialect", "mine.yaml"),
    ):
        *others, name = arguments
        assert refused(*others, tmp_path / name).startswith(f"{tmp_path}/mine.yaml:1:")
    assert refused("rules", "check", tmp_path).startswith(f"{tmp_path}/mine.yaml:1:")


def test_aliases_of_aliases(tmp_path: pathlib.Path) -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    for name in ("build.yaml", "mine.yaml"):
        (tmp_path / name).write_text("\n".join(lines) + "\n")
    began = time.monotonic()
    assert "aliases counted" in refused("audit", AFTER, "--build", tmp_path / "build.yaml")
    assert "aliases counted" in refused("rules", "check", tmp_path)
    assert "aliases counted" in refused("diff", AFTER, AFTER, "--dialect", tmp_path / "mine.yaml")
    assert time.monotonic() - began < SOON


@pytest.mark.parametrize(
    "row", ["out {} turns m1 pin B0", "link u{} does 0x1 at 1", "blend m{} lift 1", "{} := 1"]
)
def test_thousands_of_lines_of_one_kind(row: str, tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    rows = "".join(f"{row.format(n)}\n" for n in range(1000))
    dump.write_text((ROOT / AFTER).read_text("utf-8") + rows, "utf-8")
    began = time.monotonic()
    assert run("audit", dump, "--build", SHEET).code == 1
    assert run("diff", AFTER, dump).code == 1
    assert time.monotonic() - began < SOON


def test_lines_without_an_end(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    head = (ROOT / AFTER).read_text("utf-8").split("\n", 1)[0] + "\n"
    for text in (
        "x" * 300_000,
        "link " * 60_000,
        '"' * 300_000,
        "~" * 300_000,
        "a := " * 60_000,
        "[" * 300_000,
    ):
        dump.write_text(head + text, "utf-8")
        began = time.monotonic()
        assert run("audit", dump, "--build", SHEET).code in (0, 1)
        assert time.monotonic() - began < SOON

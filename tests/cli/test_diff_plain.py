"""diff of dumps that no dialect knows: by the names and leading cells of their lines."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import pytest

from cfgaudit.report.cautions import STANDING
from cfgaudit.report.words import packed
from tests.cli.session import AFTER, HERON, refused, run
from tests.compare.plain_texts import BOOT, KERNEL, TRADES, Trade
from tests.house.checkout import ROOT

HOW = "by the names and leading cells of the lines"
EACH = pytest.mark.parametrize("trade", TRADES, ids=lambda trade: trade.name)


def files(trade: Trade, folder: pathlib.Path) -> tuple[pathlib.Path, pathlib.Path]:
    before, after = folder / "before.txt", folder / "after.txt"
    before.write_text(trade.before, "utf-8")
    after.write_text(trade.after, "utf-8")
    return before, after


def short(change: dict[str, Any]) -> tuple[object, ...]:
    lines = (tuple(place["line"] for place in change[side]) for side in ("before", "after"))
    return (change["subject"], change["text"], *lines)


@EACH
def test_changes_and_exit_codes(trade: Trade, tmp_path: pathlib.Path) -> None:
    before, after = files(trade, tmp_path)
    outcome = run("diff", before, after, "--format", "json")
    report = json.loads(outcome.out)
    assert (outcome.code, outcome.err) == (1, "")
    assert [short(one) for one in report["changes"]] == list(trade.told)
    assert {one["weight"] for one in report["changes"]} == {"the rest"}
    assert (report["before"]["dialect"], report["after"]["extent"]) == ("", "unknown")
    assert run("diff", after, before).code == 1
    assert run("diff", before, before).code == run("diff", after, after).code == 0


def test_the_report_holds_to_its_schema(tmp_path: pathlib.Path) -> None:
    import jsonschema

    schema = json.loads((ROOT / "cfgaudit/report/report.schema.json").read_text("utf-8"))
    for trade in TRADES:
        jsonschema.validate(json.loads(run("diff", *files(trade, tmp_path), "--format", "json").out), schema)


def test_the_report_in_words(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files(BOOT, tmp_path)
    monkeypatch.chdir(tmp_path)
    assert run("diff", "before.txt", "after.txt").out.splitlines()[1:] == [
        "  before.txt   firmware not named, board not named, read without a dialect, 5 settings",
        "  after.txt    firmware not named, board not named, read without a dialect, 6 settings",
        f"Compared without a dialect: {HOW}. What a change can do is not known.",
        "",
        "changes",
        "  console   uart0,115200 → uart0,57600    after.txt:1:1",
        "  mac       appeared: 02:00:00:00:00:17   after.txt:6:1",
        "  rescue    (empty) → net                 after.txt:3:1",
        "  wait_s    3 → 0x3                       after.txt:2:1",
        "",
        *packed(STANDING),
        "A comparison of text is not a statement that the aircraft is safe to fly.",
    ]


def test_remarks_that_differ_are_counted(tmp_path: pathlib.Path) -> None:
    before, after = files(KERNEL, tmp_path)
    said = "1 remark line stands in this file alone: remarks are not compared"
    assert run("diff", before, after).out.count(said) == 2
    before.write_text("a 1\n# one\n# two\n")
    after.write_text("# two\na 1\n")
    outcome = run("diff", before, after)
    assert (outcome.code, outcome.out.count(said)) == (0, 1)
    assert "no changes in 1 setting" in outcome.out


def test_order_that_may_count_is_said(tmp_path: pathlib.Path) -> None:
    before, after = tmp_path / "before.txt", tmp_path / "after.txt"
    before.write_text("bank 1\ngain 4\nbank 2\ngain 5\n")
    after.write_text("bank 1\ngain 5\nbank 2\ngain 4\n")
    outcome = run("diff", before, after)
    assert outcome.code == 0
    assert outcome.out.count("order is not compared, and differs among the lines of gain\n") == 1
    assert "order is not" not in run("diff", before, before).out


def test_a_capture_is_cleaned(tmp_path: pathlib.Path) -> None:
    before, after = files(BOOT, tmp_path)
    after.write_bytes(b"\xef\xbb\xbf" + BOOT.before.replace("\n", "\r\n").encode())
    outcome = run("diff", before, after)
    assert (outcome.code, "no changes" in outcome.out) == (0, True)


def test_from_standard_input(tmp_path: pathlib.Path) -> None:
    before, _ = files(BOOT, tmp_path)
    assert run("diff", before, "-", stdin=BOOT.before.encode()).code == 0
    assert run("diff", "-", before, stdin=BOOT.after.encode()).code == 1


def test_a_named_dialect_is_used(tmp_path: pathlib.Path) -> None:
    before, after = files(BOOT, tmp_path)
    assert (
        json.loads(run("diff", before, after, "--dialect", "plover", "--format", "json").out)["before"][
            "dialect"
        ]
        == "plover"
    )


@pytest.mark.parametrize("known", [AFTER, HERON])
def test_one_known_and_one_not(known: str, tmp_path: pathlib.Path) -> None:
    before, _ = files(BOOT, tmp_path)
    assert "no dialect knows this dump" in refused("diff", known, before)
    assert "name the dialect with --dialect" in refused("diff", before, known)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "there is no setting in this text"),
        (b"\n\n# nothing\n", "there is no setting in this text"),
        (b"\x7fELF\x02\x01\x01", "this is no text"),
        (bytes(range(256)) * 9, "this is no text"),
        ("rate 1\n".encode("utf-16"), "the dump is UTF-16 text"),
    ],
    ids=["empty", "remarks", "program", "binary", "utf-16"],
)
def test_what_is_no_text(content: bytes, said: str, tmp_path: pathlib.Path) -> None:
    before, after = files(BOOT, tmp_path)
    after.write_bytes(content)
    assert refused("diff", before, after).startswith(f"{after}:1:1: {said}")
    assert refused("diff", after, before).startswith(f"{after}:1:1: {said}")

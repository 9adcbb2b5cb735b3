"""When a setting changed, in real repositories: over renames, merges, garbage and clones that are cut off."""

from __future__ import annotations

import json
import pathlib
import re
import time

import jsonschema
import pytest

from tests.baseline.repository import Repository, baseline, repository_in
from tests.cli.session import refused, run
from tests.house.checkout import ROOT

OTTER, HERON = "otter/known-good.txt", "heron/known-good.txt"
SCHEMA = json.loads((ROOT / "cfgaudit/report/report.schema.json").read_text("utf-8"))
HOSTILE = [
    "with blanks.txt",
    'a "q".txt',
    "-x.txt",
    "--all",
    "-",
    "ü 漢.txt",
    "a:b.txt",
    ":x",
    "a\nb.txt",
    "*.txt",
]


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Repository:
    return repository_in(tmp_path, monkeypatch)


def warn(value: int, name: str = "volts.warn") -> tuple[str, str]:
    return "volts.warn := 350", f"{name} := {value}"


def told(*arguments: str, file: str = "otter.txt") -> list[str]:
    """The lines below the first, each without its commit."""
    outcome = run("history", *arguments, f"--file={file}")
    assert outcome.err == "", outcome
    rows = outcome.out.splitlines()[1:]
    return [re.sub(r"^(\S{10}  )[0-9a-f]{7}  (.*)$", r"\1\2", row) for row in rows]


def test_when_and_why(here: Repository) -> None:
    pin = ("pin C8", "pin C9")
    here.commit({"otter.txt": baseline(OTTER, note="as built")}, "begin")
    second = {"note": "tired pack", "when": "2026-03-02"}
    here.commit({"otter.txt": baseline(OTTER, warn(355), **second)}, "one")
    here.commit({"otter.txt": baseline(OTTER, warn(355), pin, **second)}, "C8 burnt")
    last = here.commit({"otter.txt": baseline(OTTER, warn(345), pin, when="2026-03-04")}, "cold day")
    outcome = run("history", "battery.cell_warn_v", "--file", "otter.txt")
    assert outcome.code == 0
    assert outcome.out.splitlines()[0] == "battery.cell_warn_v in otter.txt: 2 changes · 4 commits"
    assert f"2026-03-04  {last[:7]}  Wren Alder  " in outcome.out
    assert [" ".join(row.split()) for row in told("battery.cell_warn_v")] == [
        "2026-03-04 Wren Alder battery warns at 3.55 → 3.45 V per cell cold day",
        "2026-03-02 Wren Alder battery warns at 3.5 → 3.55 V per cell tired pack",
        "2026-03-01 Wren Alder battery warns at 3.5 V per cell, first recorded as built",
    ]
    assert told("volts.warn") == told("battery.cell_warn_v")[:] == told("volts.low")
    for name in ("outputs", "out", "out 3", "outputs.3.pin"):
        (row,) = (row for row in told(name) if "→" in row)
        assert " ".join(row.split()) == "2026-03-03 Wren Alder motor 3 pin PC8 → PC9 C8 burnt"
    assert "settings, first recorded" in told("outputs")[-1]


def test_over_renames_of_the_file_and_of_the_setting(here: Repository) -> None:
    here.commit({"old name.txt": baseline(OTTER)})
    here.commit({"old name.txt": baseline(OTTER, warn(355))}, "higher")
    here.git("mv", "old name.txt", "otter.txt")
    here.commit({}, "moved")
    newer = ("plover 4.1.2", "plover 4.2.0"), ("stick.quiet :=", "stick.dead :=")
    here.commit({"otter.txt": baseline(OTTER, warn(355, "volts.low"), *newer)}, "updated")
    here.commit({"otter.txt": baseline(OTTER, warn(340, "volts.low"), *newer)}, "lower")
    for name in ("volts.low", "volts.warn", "battery.cell_warn_v"):
        assert [row.rpartition("  ")[2] for row in told(name)] == ["lower", "higher", "settings"], name
    assert [row.rpartition("  ")[2] for row in told("stick.dead")] == ["settings"]
    assert [row.rpartition("  ")[2] for row in told("firmware")] == ["updated", "settings"]


def test_profiles_are_not_mixed_up(here: Repository) -> None:
    first, second = ("grip.roll := 52", "grip.roll := 46"), ("grip.roll := 46", "grip.roll := 52")
    here.commit({"otter.txt": baseline(OTTER)})
    text = baseline(OTTER)
    swapped = text.replace(first[0], "#").replace(second[0], second[1]).replace("#", first[1])
    here.commit({"otter.txt": swapped}, "swapped")  # the same lines, in other scopes
    assert ["52 → 46" in row for row in told("profiles.1.roll_grip")] == [True, False]
    assert ["46 → 52" in row for row in told("tune 2 / grip.roll")] == [True, False]
    assert len([row for row in told("grip.roll") if "→" in row]) == 2


def test_a_file_that_went_and_came_again(here: Repository) -> None:
    here.commit({"otter.txt": baseline(OTTER)})
    here.git("rm", "-q", "otter.txt")
    here.commit({}, "lost")
    here.commit({"otter.txt": baseline(OTTER, warn(340))}, "found")
    assert [row.rpartition("  ")[2] for row in told("volts.warn")] == ["found", "lost", "settings"]
    assert "the file was deleted" in told("volts.warn")[1]


def test_garbage_is_one_line_and_not_the_end(here: Repository) -> None:
    here.commit({"otter.txt": baseline(OTTER)}, "good")
    for garbage in (b"\0\xff\xfe\x1b[2J", b"", b"<<<<<<< ours\n"):
        here.commit({"otter.txt": garbage}, "\x1b[31mbad")
    here.commit({"otter.txt": baseline(OTTER, warn(340))}, "mended")
    rows = told("volts.warn")
    assert [row.rpartition("  ")[2] for row in rows] == ["mended", *["\\x1b[31mbad"] * 3, "good"]
    assert "3.5 → 3.4 V per cell" in rows[0]
    assert all("this version cannot be read: " in row for row in rows[1:4])


def test_a_merge_is_told_only_for_what_it_made(here: Repository) -> None:
    here.commit({"otter.txt": baseline(OTTER)}, "begin")
    here.git("checkout", "-q", "-b", "side")
    here.commit({"otter.txt": baseline(OTTER, warn(355))}, "theirs")
    here.git("checkout", "-q", "main")
    full = ("volts.full := 420", "volts.full := 430")
    here.commit({"otter.txt": baseline(OTTER, full)}, "ours")
    here.git("merge", "-q", "--no-commit", "-s", "ours", "side")
    here.commit({"otter.txt": baseline(OTTER, full, warn(355), ("pin C8", "pin C9"))}, "both")
    assert [row.rpartition("  ")[2] for row in told("volts.warn")] == ["theirs", "begin"]
    assert [row.rpartition("  ")[2] for row in told("volts.full")] == ["ours", "begin"]
    assert [row.rpartition("  ")[2] for row in told("outputs.3.pin")] == ["both", "begin"]


def test_a_clone_that_is_cut_off(
    here: Repository, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here.commit({"otter.txt": baseline(OTTER)}, "begin")
    here.commit({"otter.txt": baseline(OTTER, warn(355))}, "higher")
    here.commit({"otter.txt": baseline(OTTER, warn(345))}, "lower")
    here.git("clone", "-q", "--depth", "2", f"file://{here.home}", str(tmp_path / "cut"))
    monkeypatch.chdir(tmp_path / "cut")
    rows = told("volts.warn")
    assert "3.55 → 3.45 V per cell" in rows[0]
    assert "3.55 V per cell, as in the oldest commit here" in rows[1]
    assert rows[2] == "This clone is shallow: what was before its oldest commits is not in it."


def test_detached_and_not_committed(here: Repository, monkeypatch: pytest.MonkeyPatch) -> None:
    here.commit({"in/otter.txt": baseline(OTTER)}, "begin")
    here.commit({"in/otter.txt": baseline(OTTER, warn(355))}, "higher")
    here.git("checkout", "-q", "--detach", "HEAD~1")
    assert len(told("volts.warn", file="in/otter.txt")) == 1
    (here.home / "in/otter.txt").write_text(baseline(OTTER, warn(310)))
    rows = told("volts.warn", file="in/otter.txt")
    assert "3.5 → 3.1 V per cell" in rows[0]
    assert rows[0].endswith("not committed yet")
    monkeypatch.chdir(here.home / "in")
    assert told("volts.warn") == rows
    monkeypatch.chdir("/")
    assert told("volts.warn", file=str(here.home / "in/otter.txt")) == rows


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names(here: Repository, name: str) -> None:
    here.commit({name: baseline(OTTER), "other.txt": baseline(OTTER, warn(1000 // 3))})
    here.commit({name: baseline(OTTER, warn(355))}, "\x1b[2J:100644 \x01 odd\u202e")
    here.git("mv", "--", name, f"{name} moved")
    here.commit({})
    file = f"--file={name} moved"
    outcome = run("history", "volts.warn", file)
    assert outcome.out.count("→") == 1
    assert all(row.isprintable() for row in outcome.out.splitlines())
    assert "battery warns at  3.5 → 3.55 V per cell" in run("history", "--since-good=HEAD~2", file).out
    report = json.loads(run("history", "volts.warn", file, "--format", "json").out)
    jsonschema.validate(report, SCHEMA)
    assert [event["what"] for event in report["events"]] == ["changed", "first"]


def test_hostile_settings_of_git(here: Repository) -> None:
    here.commit({"a/otter.txt": baseline(OTTER)})
    here.commit({"a/otter.txt": baseline(OTTER, warn(355))}, "higher")
    plain = told("volts.warn", file="a/otter.txt")
    for key, value in {
        "color.ui": "always",
        "log.showSignature": "true",
        "log.decorate": "full",
        "diff.relative": "true",
        "diff.renames": "false",
        "format.pretty": "fuller",
        "core.quotePath": "true",
        "log.follow": "true",
        "log.diffMerges": "off",
        "diff.external": "false",
        "i18n.logOutputEncoding": "latin-1",
    }.items():
        here.git("config", key, value)
    assert told("volts.warn", file="a/otter.txt") == plain


def test_private_values(here: Repository, tmp_path: pathlib.Path) -> None:
    names = ("Odette Marsh", "Bertil Fenn", "Ilse Rook")
    keys = [str(tmp_path / name) for name in ("one.key", "two.key")]
    step = [('pilot.called := ""', f'pilot.called := "{name}"') for name in names]
    texts = [
        baseline(OTTER, key=keys[0]),
        baseline(OTTER, step[0], key=keys[0]),
        baseline(OTTER, step[1], key=keys[0]),
        baseline(OTTER, step[1], key=keys[0], when="2026-03-09"),
        baseline(OTTER, step[2], key=keys[1]),
        baseline(OTTER, step[2]),
        baseline(OTTER, step[0]),
    ]
    for text in texts:
        here.commit({"otter.txt": text})
    outputs = [
        run("history", asked, "--file", "otter.txt", "--format", form).out
        for asked in ("identity", "pilot.called", "identity.pilot_name")
        for form in ("text", "json")
    ]
    outputs.append(run("history", "--since-good", "HEAD~5", "--file", "otter.txt").out)
    assert not [name for name in names for out in outputs if name.split()[0] in out]
    assert outputs[0].count("another one") == 5
    assert outputs[0].count("perhaps another one: not sealed with the same key") == 2
    assert outputs[-1].count("perhaps another one") == 1


def test_since_a_good_one(here: Repository) -> None:
    works = ("craft.works := survey", "craft.works := racing")
    full = ("volts.full := 420", "volts.full := 430")
    good = here.commit({"old.txt": baseline(OTTER)}, "flew well")
    here.commit({"old.txt": baseline(OTTER, warn(355))}, "higher")
    here.git("mv", "old.txt", "otter.txt")
    here.commit({"otter.txt": baseline(OTTER, warn(340), works)}, "racing")
    here.commit({"otter.txt": baseline(OTTER, warn(340), works, full)}, "fuller")
    here.commit({"otter.txt": baseline(OTTER, warn(340), works)}, "and back")
    now = baseline(OTTER, warn(340), works).replace("tune 1\ntune.called", "mystery 7\n\ntune 1\ntune.called")
    (here.home / "otter.txt").write_text(now)
    assert run("history", "--since-good", good, "--file", "otter.txt").code == 1
    rows = [" ".join(row.split()) for row in told("--since-good", good)]
    assert rows[0] == "unknown line not said → mystery 7 not committed yet"
    assert [row.split("Wren Alder ")[1] for row in rows[1:]] == [
        "battery warns at 3.5 → 3.4 V per cell racing",
        "craft.works survey → racing racing",
    ]
    assert len(told("volts.warn", "--since-good", good)) == 1
    here.commit({})
    outcome = run("history", "--since-good", "HEAD", "--file", "otter.txt")
    assert outcome.code == 0
    assert outcome.out == "all settings in otter.txt: no changes since HEAD · 0 commits\n"


def test_the_craft_of_the_project(here: Repository) -> None:
    project = "craft:\n  otter: {build: o.yaml, baseline: otter.txt}\n  heron: {build: h.yaml}\n"
    here.commit({"otter.txt": baseline(OTTER), "cfgaudit.yaml": project})
    assert run("history", "osd.columns").out == run("history", "osd.columns", "--craft", "otter").out
    assert "names no baseline of heron" in refused("history", "osd.columns", "--craft", "heron")
    assert "name one of otter, heron" in refused("history", "osd.columns", "--craft", "vole")


def test_refusals(here: Repository, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = "--file=otter.txt"
    assert "nothing says which baseline is meant" in refused("history", "osd.columns")
    assert "no setting is named" in refused("history", file)
    assert "git has no history here" in refused("history", "osd.columns", file)
    here.commit({"other.txt": "x", "bad.txt": "x"})
    assert "git has no commit of this file" in refused("history", "osd.columns", file)
    assert "no version of it can be read" in refused("history", "osd.columns", "--file", "bad.txt")
    here.commit({"otter.txt": baseline(OTTER)})
    line = refused("history", "osd.colums", file)
    assert line == "otter.txt:1:1: no version of this file knows 'osd.colums'; perhaps osd.columns is meant"
    for odd in ("..", ".", "osd..columns", "\x1b", "a / b", " "):
        assert "no version of this file knows" in refused("history", odd, file)
    assert "git knows no commit 'nowhere'" in refused("history", "--since-good=nowhere", file)
    assert "git knows no commit '--all'" in refused("history", "--since-good=--all", file)
    assert "does not have this file" in refused("history", "--since-good=HEAD~1", file)
    monkeypatch.chdir(tmp_path)
    assert "git has no history here (not a git repository" in refused("history", "osd.columns", file)


def test_other_firmwares(here: Repository) -> None:
    here.commit({"a.txt": baseline(HERON), "b.txt": baseline("vole/known-good.txt")})
    text = baseline(HERON)
    here.commit({"a.txt": text.replace('craft = "heron"', 'craft = "crane"')}, "renamed")
    assert "heron → crane" in told("identity.craft_name", file="a.txt")[0]
    assert "heron → crane" in told("craft", file="a.txt")[0]
    assert len(told("ports", file="b.txt")) == 1
    here.commit({"a.txt": baseline(OTTER)}, "another firmware")
    assert "crane → otter" in told("identity.craft_name", file="a.txt")[0]


def test_hundreds_of_commits(here: Repository) -> None:
    import subprocess

    text = baseline(OTTER)
    stream = []
    for n in range(400):
        made = text.replace("volts.warn := 350", f"volts.warn := {340 + n // 40}")
        made = made.replace("volts.full := 420", f"volts.full := {410 + n % 20}")
        stream.append(
            f"commit refs/heads/main\ncommitter Wren <w@trust.example> {1_767_000_000 + n} +0000\n"
            f"data 1\nx\nM 100644 inline otter.txt\ndata {len(made.encode())}\n{made}\n"
        )
    subprocess.run(["git", "fast-import", "--quiet"], input="".join(stream).encode(), check=True)
    here.git("reset", "-q", "--hard")
    begin = time.perf_counter()
    assert len(told("volts.warn")) == 10
    assert time.perf_counter() - begin < 5  # seconds; about half of one where this was written


def test_a_merge_that_took_one_side_changed_nothing(here: Repository) -> None:
    here.commit({"otter.txt": baseline(OTTER)}, "begin")
    here.git("checkout", "-q", "-b", "bench")
    here.commit({"otter.txt": baseline(OTTER, note="looked at")}, "looked at")
    here.git("checkout", "-q", "main")
    here.commit({"otter.txt": baseline(OTTER, warn(355))}, "tired pack")
    here.git("merge", "-q", "-s", "ours", "-m", "one side", "bench")
    rows = told("battery.cell_warn_v")
    assert [row.partition("  ")[0] for row in rows] == ["2026-03-03", "2026-03-01"]
    assert "tired pack" in rows[0]


@pytest.mark.parametrize(
    "setting",
    [
        "log.showRoot=false",
        "log.diffMerges=off",
        "log.diffMerges=combined",
        "diff.orderFile=/not/there",
        "diff.renames=false",
        "color.ui=always",
        "log.date=relative",
    ],
)
def test_what_a_user_has_set_changes_nothing(here: Repository, setting: str) -> None:
    here.commit({"otter.txt": baseline(OTTER)}, "begin")
    here.git("checkout", "-q", "-b", "bench")
    here.commit({"otter.txt": baseline(OTTER, warn(355))}, "one")
    here.git("checkout", "-q", "main")
    here.commit({"otter.txt": baseline(OTTER, warn(345))}, "other")
    here.git("merge", "-q", "bench", code=1)
    here.commit({"otter.txt": baseline(OTTER, warn(350)).replace("350", "360")}, "both")
    plain = told("battery.cell_warn_v")
    assert len(plain) == 4
    here.git("config", *setting.split("="))
    assert told("battery.cell_warn_v") == plain


def test_a_project_file_that_cannot_be_read_is_no_missing_one(here: Repository) -> None:
    (here.home / "cfgaudit.yaml").write_text("craft: [\n")
    for command in (("history", "osd", "--craft", "otter"), ("baseline", "git-setup")):
        assert "this is not YAML" in refused(*command)


def test_a_link_has_the_history_of_what_it_leads_to(here: Repository) -> None:
    (here.home / "link.txt").symlink_to("otter.txt")
    here.commit({"otter.txt": baseline(OTTER)}, "begin")
    good = here.git("rev-parse", "HEAD").strip()
    here.commit({"otter.txt": baseline(OTTER, warn(355))}, "tired pack")
    assert told("battery.cell_warn_v", file="link.txt") == told("battery.cell_warn_v")
    assert told("--since-good", good, file="link.txt") == told("--since-good", good)


@pytest.mark.parametrize("folder", ["", "craft/"])
def test_a_baseline_like_another_crafts_has_a_history_of_its_own(here: Repository, folder: str) -> None:
    otter, vole = f"{folder}otter.txt", f"{folder}vole.txt"
    here.commit({otter: baseline(OTTER, warn(345), note="otter's")}, "otter")
    here.commit({otter: baseline(OTTER, warn(350), note="otter's")}, "otter again")
    here.commit({vole: baseline(OTTER, warn(355), note="vole's")}, "vole")
    assert told("battery.cell_warn_v", file=vole) == [
        "2026-03-03  Wren Alder  battery warns at  3.55 V per cell, first recorded  vole's"
    ]
    here.git("rm", "-q", vole)
    here.commit({}, "gone")
    here.commit({vole: baseline(OTTER, warn(365), note="vole's")}, "back")
    rows = told("battery.cell_warn_v", file=vole)
    assert [row[:10] for row in rows] == ["2026-03-05", "2026-03-04", "2026-03-03"]
    assert "3.65 V per cell, first recorded" in rows[0]


def test_a_baseline_like_another_crafts_that_came_with_a_branch(here: Repository) -> None:
    here.commit({"otter.txt": baseline(OTTER, note="otter's")}, "otter")
    here.git("checkout", "-q", "-b", "bench")
    here.commit({"vole.txt": baseline(OTTER, warn(355), note="vole's")}, "vole")
    here.commit({"vole.txt": baseline(OTTER, warn(345), note="vole's")}, "vole again")
    here.git("checkout", "-q", "main")
    here.commit({"otter.txt": baseline(OTTER, warn(365), note="otter's")}, "otter again")
    here.git("merge", "-q", "-m", "both", "bench")
    rows = told("battery.cell_warn_v", file="vole.txt")
    assert [row[:10] for row in rows] == ["2026-03-03", "2026-03-02"]
    assert "3.55 → 3.45 V per cell" in rows[0]
    assert "3.55 V per cell, first recorded" in rows[1]

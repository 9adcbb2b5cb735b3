"""Baselines recorded: what the file holds, what is never written over, what a kill leaves."""

from __future__ import annotations

import os
import pathlib
import random
import signal
import subprocess
import sys
import time

import pytest

import cfgaudit
from cfgaudit.baseline.facts import NOBODY_SAID, Facts, fact_lines, read_facts
from cfgaudit.baseline.file import write_whole
from cfgaudit.baseline.key import sealer_in, usual_key_file
from cfgaudit.baseline.sealed import private_settings, sealed
from cfgaudit.dialect.seal import Sealer, is_seal, key_of
from cfgaudit.model.refusal import Refusal
from tests.audit.bench import sample
from tests.baseline.test_git import Git, git
from tests.cli.session import AFTER, HERON, HERON_SHEET, KNOWN_GOOD, SHEET, refused, run
from tests.house.checkout import ROOT

__all__ = ["git"]  # a fixture

ONE, OTHER = Sealer(b"1" * 32), Sealer(b"2" * 32)


@pytest.fixture(autouse=True)
def own_key(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    """A key of this test's own, away from everybody's."""
    file = tmp_path / "keys" / "seal.key"
    monkeypatch.setenv("CFGAUDIT_KEY", str(file))
    return file


@pytest.fixture
def baseline(tmp_path: pathlib.Path) -> pathlib.Path:
    return tmp_path / "kept" / "baseline.txt"


def record(baseline: pathlib.Path, *more: str, dump: str = HERON, sheet: str = HERON_SHEET) -> list[str]:
    outcome = run(
        "baseline", "record", str(ROOT / dump), "--build", str(ROOT / sheet), "--to", str(baseline), *more
    )
    assert outcome.code == 0, outcome
    return outcome.err.splitlines()


def check(baseline: pathlib.Path, dump: str = HERON, sheet: str = HERON_SHEET) -> tuple[int, str]:
    outcome = run(
        "baseline", "check", str(ROOT / dump), "--build", str(ROOT / sheet), "--against", str(baseline)
    )
    assert outcome.err == ""
    return outcome.code, outcome.out


# What is written


@pytest.mark.parametrize(("dump", "sheet"), [(HERON, HERON_SHEET), (KNOWN_GOOD, SHEET)])
def test_a_baseline_is_a_dump_that_says_the_same(baseline: pathlib.Path, dump: str, sheet: str) -> None:
    record(baseline, dump=dump, sheet=sheet)
    was, kept = cfgaudit.read_dump(str(ROOT / dump)), cfgaudit.read_dump(str(baseline))
    private = {path for path, leaf in kept.model.leaves.items() if is_seal(str(leaf.value))}
    assert {path: leaf.value for path, leaf in kept.model.leaves.items() if path not in private} == {
        path: leaf.value for path, leaf in was.model.leaves.items() if path not in private
    }
    assert not kept.private
    assert not kept.doubts
    assert check(baseline, dump, sheet)[0] == 0


def test_the_facts_stand_below_the_header(baseline: pathlib.Path) -> None:
    assert record(baseline, "--note", "flew well\n at the weir") == [
        "private values sealed: pilot, radio / pairing"
    ]
    facts = read_facts(baseline.read_text("utf-8").splitlines())
    assert (facts.craft, facts.source, facts.note) == ("heron", "known-good.txt", "flew well at the weir")
    assert facts.seals == ("pilot", "radio / pairing")
    assert facts.audited.startswith("no findings")
    assert len(facts.digest) == 64


def test_a_baseline_with_findings_is_recorded_and_said_to_be_one(baseline: pathlib.Path) -> None:
    assert record(baseline, dump=AFTER, sheet=SHEET) == [
        "this baseline has findings: audit the dump and read them before you rely on it",
        "private values sealed: stick.secret",
    ]
    assert read_facts(baseline.read_text("utf-8").splitlines()).audited.startswith("5 errors, 1 warning")


def test_facts_are_read_as_they_were_written() -> None:
    facts = Facts(
        "otter", "2026-11-28T10:00:00+01:00", "0.1.0", "a (b) c.txt", "0" * 64, "1 error", "x, y", ("a", "b")
    )
    assert read_facts(fact_lines(facts, "~")) == facts
    assert read_facts(["~ plover 4.1", "link u1 does 0x4 at 9600"]) == NOBODY_SAID


def test_the_same_dump_gives_the_same_text_but_for_the_time(baseline: pathlib.Path) -> None:
    record(baseline)
    first = baseline.read_text("utf-8").splitlines()
    record(baseline, "--over")
    second = baseline.read_text("utf-8").splitlines()
    assert [line for line in first if "baseline of:" not in line] == [
        line for line in second if "baseline of:" not in line
    ]


# Seals


def test_a_seal_tells_equal_from_other_and_nothing_else() -> None:
    assert ONE.seal("a", "word") == ONE.seal("a", "word")
    assert (
        len({ONE.seal("a", "word"), ONE.seal("b", "word"), ONE.seal("a", "other"), OTHER.seal("a", "word")})
        == 4
    )
    assert key_of(ONE.seal("a", "word")) == ONE.name != OTHER.name
    assert "word" not in ONE.seal("a", "word")


def test_every_private_value_is_sealed_once() -> None:
    reading = sample("heron/known-good.txt")
    once = sealed(reading, ONE)
    assert private_settings(once) == ()
    assert sealed(once, OTHER).model == once.model
    assert (
        once.model.leaves[("receiver", "bind")].value
        == sealed(reading, ONE).model.leaves[("receiver", "bind")].value
    )


def test_a_changed_private_value_is_drift_and_is_not_shown(
    baseline: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    record(baseline)
    text = (ROOT / HERON).read_text("utf-8").replace("7c-1f-a3-09-5e", "5e-c2-e7")
    (tmp_path / "other.txt").write_text(text, "utf-8")
    code, out = check(baseline, str(tmp_path / "other.txt"))
    assert code == 1
    assert "bind changed (private, not shown)" in out
    assert "5e-c2-e7" not in out


def test_with_another_key_nobody_can_say(
    baseline: pathlib.Path, own_key: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record(baseline)
    monkeypatch.setenv("CFGAUDIT_KEY", str(own_key.with_name("other.key")))
    code, out = check(baseline)
    assert code == 0
    assert "seals are of another key: pilot, radio / pairing" in out
    assert not own_key.with_name("other.key").exists()


def test_a_key_does_not_lie_in_a_repository(git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CFGAUDIT_KEY", "seal.key")
    line = refused("baseline", "record", ROOT / HERON, "--build", ROOT / HERON_SHEET, "--to", "b.txt")
    assert "the key would lie in the repository" in line
    assert not os.path.exists("b.txt")


def test_a_spoilt_key_is_named(own_key: pathlib.Path, baseline: pathlib.Path) -> None:
    own_key.parent.mkdir()
    own_key.write_text("cfgaudit key 12\n")
    line = refused("baseline", "record", ROOT / HERON, "--build", ROOT / HERON_SHEET, "--to", baseline)
    assert line.startswith(f"{own_key}:1:1: this is no key of cfgaudit")


def test_a_key_is_its_owners_alone(own_key: pathlib.Path) -> None:
    assert sealer_in(str(own_key), make=True) == sealer_in(str(own_key), make=False)
    if os.name == "posix":
        assert own_key.stat().st_mode & 0o077 == 0


def test_private_values_are_kept_only_when_told(baseline: pathlib.Path) -> None:
    (said,) = record(baseline, "--keep-private")
    assert "git keeps them for good: pilot, radio / pairing" in said
    assert "7c-1f-a3-09-5e" in baseline.read_text("utf-8")


def test_a_line_that_is_not_understood_and_may_be_private_is_only_named(
    baseline: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    dump = tmp_path / "garbled.txt"
    dump.write_text(
        (ROOT / HERON).read_text("utf-8").replace("pairing = 7c", "pairing 5ec2e7 = = 7c"), "utf-8"
    )
    record(baseline, dump=str(dump))
    text = baseline.read_text("utf-8")
    assert "5ec2e7" not in text
    assert "; pairing (private, not shown)" in text


# What is not written over


def test_what_git_could_not_give_back_is_not_written_over(git: Git) -> None:
    target = pathlib.Path("kept/baseline.txt")
    record(target)
    arguments = ("baseline", "record", ROOT / HERON, "--build", ROOT / HERON_SHEET, "--to", target)
    assert "git does not keep it" in refused(*arguments)
    git("add", "-A")
    assert "not committed as it is" in refused(*arguments)
    git("commit", "-qm", "first")
    assert run(*arguments, "--note", "again").code == 0
    git("commit", "-qam", "again")
    target.write_text(target.read_text("utf-8") + "[motors]\nidle = 70\n", "utf-8")
    before = target.read_bytes()
    assert "not committed as it is" in refused(*arguments)
    assert target.read_bytes() == before
    assert run(*arguments, "--over").code == 0


def test_a_newer_baseline_is_not_written_over(git: Git) -> None:
    target = pathlib.Path("baseline.txt")
    record(target, dump="samples/heron/factory-3.0.txt")
    target.write_text(target.read_text("utf-8").replace("recorded 20", "recorded 29"), "utf-8")
    git("add", "-A")
    git("commit", "-qm", "first")
    line = refused("baseline", "record", ROOT / HERON, "--build", ROOT / HERON_SHEET, "--to", target)
    assert "it was recorded later, 29" in line
    assert "it is of a later version of the firmware, 3.0.0" in line


def test_nothing_is_left_of_a_file_that_could_not_be_written(tmp_path: pathlib.Path) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / "there").mkdir()
    with pytest.raises(Refusal, match="cannot be written"):
        write_whole(str(tmp_path / "kept" / "there"), "text")
    assert [one.name for one in (tmp_path / "kept").iterdir()] == ["there"]


def test_a_link_stays_a_link(tmp_path: pathlib.Path) -> None:
    (tmp_path / "real.txt").write_text("old\n")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_whole(str(tmp_path / "link.txt"), "new\n")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new\n"


def test_blanks_within_a_line_that_nobody_understands_stay(
    baseline: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    dump = tmp_path / "odd.txt"
    dump.write_text(
        (ROOT / HERON).read_text("utf-8").replace("[motors]\n", '[motors]\nodd = "a   b"\n'), "utf-8"
    )
    record(baseline, dump=str(dump))
    assert 'odd = "a   b"\n' in baseline.read_text("utf-8")


# Killed at any moment

_RECORD = """
import sys
from cfgaudit.cli.main import main
main(["baseline", "record", {dump!r}, "--build", {sheet!r}, "--to", {target!r}, "--over"])
"""


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
def test_a_kill_leaves_the_old_baseline_or_the_new_one(
    baseline: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    dice = random.Random(11)
    record(baseline)
    took = []
    for n in range(14):
        dump = tmp_path / f"{n}.txt"
        dump.write_text((ROOT / HERON).read_text("utf-8").replace("idle = 60", f"idle = {61 + n}"), "utf-8")
        old = baseline.read_text("utf-8")
        code = _RECORD.format(dump=str(dump), sheet=str(ROOT / HERON_SHEET), target=str(baseline))
        start = time.monotonic()
        process = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.DEVNULL)
        if n < 2:  # how long it takes here
            process.wait()
            took.append(time.monotonic() - start)
            continue
        time.sleep(dice.uniform(0.5, 1.05) * min(took))
        process.send_signal(signal.SIGKILL)
        process.wait()
        now = baseline.read_text("utf-8")
        assert now == old or (f"idle = {61 + n}\n" in now and now.endswith(old[-40:])), n
        assert cfgaudit.read_dump(str(baseline)).dump.settings == 328
    assert (
        run("baseline", "check", ROOT / HERON, "--build", ROOT / HERON_SHEET, "--against", baseline).code == 1
    )


def test_a_run_that_stops_between_any_two_steps_leaves_the_old_text(
    tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "baseline.txt"
    target.write_text("old\n")
    for name in ("mkstemp", "fdopen", "fsync", "chmod", "replace"):
        with monkeypatch.context() as patched:

            def stop(*_: object, **__: object) -> None:
                raise KeyboardInterrupt

            patched.setattr("tempfile.mkstemp" if name == "mkstemp" else f"os.{name}", stop)
            with pytest.raises(KeyboardInterrupt):
                write_whole(str(target), "new\n" * 9999)
        assert target.read_text() == "old\n"
    write_whole(str(target), "new\n")
    assert target.read_text() == "new\n"


@pytest.mark.parametrize("name", ["a\nset a = 1.txt", "a\x1b[31m.txt", b"a\xff.txt"])
def test_a_name_is_one_line_that_can_be_printed(
    baseline: pathlib.Path, tmp_path: pathlib.Path, name: str | bytes
) -> None:
    dump = tmp_path / os.fsdecode(name)
    dump.write_bytes((ROOT / KNOWN_GOOD).read_bytes())
    record(baseline, dump=str(dump), sheet=SHEET)
    (told,) = (one for one in baseline.read_text("utf-8").splitlines() if "baseline from" in one)
    assert told.isprintable()
    assert check(baseline, KNOWN_GOOD, SHEET)[0] == 0


def test_a_craft_of_two_lines_is_told_in_one(baseline: pathlib.Path, tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    sheet.write_text((ROOT / SHEET).read_text("utf-8").replace("craft: otter", r'craft: "ot\nter"'), "utf-8")
    record(baseline, dump=KNOWN_GOOD, sheet=str(sheet))
    assert read_facts(baseline.read_text("utf-8").splitlines()).craft == r"ot\nter"


def test_a_user_without_a_home(monkeypatch: pytest.MonkeyPatch, tmp_path: pathlib.Path) -> None:
    def nowhere() -> pathlib.Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(pathlib.Path, "home", nowhere)
    for name in ("CFGAUDIT_KEY", "XDG_CONFIG_HOME", "APPDATA"):
        monkeypatch.delenv(name, raising=False)
    recorded = tmp_path / "kept.txt"
    arguments = ("--build", str(ROOT / HERON_SHEET))
    assert "--key" in refused("baseline", "record", str(ROOT / HERON), *arguments, "--to", str(recorded))
    key = ("--key", str(tmp_path / "key"))
    record(recorded, *key)
    outcome = run("baseline", "check", str(ROOT / HERON), *arguments, "--against", str(recorded))
    assert (outcome.code, outcome.err) == (0, "")
    assert "seals are of another key" in outcome.out
    shown = run("baseline", "check", str(ROOT / HERON), *arguments, "--show-settings")
    assert "nobody says" in shown.out


def test_a_settings_folder_that_hangs_on_where_somebody_works_is_none(
    monkeypatch: pytest.MonkeyPatch, tmp_path: pathlib.Path
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", "here")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert usual_key_file() == str(tmp_path / ".config" / "cfgaudit" / "seal.key")


def test_a_link_into_a_repository_is_no_place_for_a_key(tmp_path: pathlib.Path) -> None:
    (tmp_path / "dots" / ".git").mkdir(parents=True)
    (tmp_path / "dots" / "below").mkdir()
    (tmp_path / "config").symlink_to(tmp_path / "dots" / "below")
    with pytest.raises(Refusal, match="would lie in the repository"):
        sealer_in(str(tmp_path / "config" / "cfgaudit" / "seal.key"), make=True)


def test_a_dump_from_standard_input_is_told_as_that(baseline: pathlib.Path) -> None:
    sheet = str(ROOT / SHEET)
    given = (ROOT / KNOWN_GOOD).read_bytes()
    assert run("baseline", "record", "-", "--build", sheet, "--to", str(baseline), stdin=given).code == 0
    assert read_facts(baseline.read_text("utf-8").splitlines()).source == "standard input"

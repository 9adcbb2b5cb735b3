"""Many craft at once: which there are, what is said of each, and what one of them keeps from the others."""

from __future__ import annotations

import json
import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator

import jsonschema
import pytest

from tests.cli.session import Outcome, process, refused, run, surroundings
from tests.cli.test_private import PLANTED, TRACE, planted
from tests.compare.fleet.fleets import make_fleet
from tests.house.checkout import ROOT

SCHEMA = json.loads((ROOT / "cfgaudit/report/report.schema.json").read_text("utf-8"))
HOSTILE = "\x1b[31m\u202e\u2066 evil"


@pytest.fixture
def hangar(tmp_path: pathlib.Path) -> pathlib.Path:
    """Three otters and a heron, each in a folder of its own."""
    folder = tmp_path / "hangar"
    for name in ("otter-1", "otter-2", "otter-3", "heron"):
        home, sample = folder / name, ROOT / "samples" / name.partition("-")[0]
        home.mkdir(parents=True)
        shutil.copy(sample / "build.yaml", home)
        shutil.copy(sample / "known-good.txt", home / "dump.txt")
    return folder


def changed(hangar: pathlib.Path, craft: str, old: str, new: str) -> None:
    file = hangar / craft / "dump.txt"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), "utf-8")


def data(*arguments: str | pathlib.Path) -> dict[str, object]:
    """The report as data, which its schema accepts."""
    said = run("fleet", *arguments, "--format", "json")
    report = json.loads(said.out)
    jsonschema.Draft202012Validator(SCHEMA).validate(report)
    assert isinstance(report, dict)
    return report


def names(report: dict[str, object]) -> list[str]:
    rows = report["craft"]
    assert isinstance(rows, list)
    return [row["craft"] for row in rows]


def fault(*arguments: str | pathlib.Path) -> str:
    """What the one craft says that could not be audited."""
    faults = data(*arguments)["faults"]
    assert isinstance(faults, list)
    (one,) = faults
    return str(one["what"])


# ------------------------------------------------------------------------- which craft there are


def test_the_craft_of_a_project_file() -> None:
    report = data("samples")
    assert names(report) == ["otter", "heron", "vole"]
    assert report["left_out"] == ["samples/teach"]


def test_folders_of_craft(hangar: pathlib.Path) -> None:
    report = data(hangar)
    assert names(report) == ["heron", "otter-1", "otter-2", "otter-3"]
    assert report["faults"] == []


def test_a_folder_that_is_a_craft_itself(hangar: pathlib.Path) -> None:
    assert names(data(hangar / "heron")) == ["heron"]


def test_project_files_further_down(hangar: pathlib.Path) -> None:
    shutil.copytree(ROOT / "samples", hangar / "club" / "samples")
    assert names(data(hangar)) == [
        "club/samples/otter",
        "club/samples/heron",
        "club/samples/vole",
        "heron",
        "otter-1",
        "otter-2",
        "otter-3",
    ]


def test_a_faulty_project_file_further_down_is_a_row(hangar: pathlib.Path) -> None:
    (hangar / "club").mkdir()
    (hangar / "club" / "cfgaudit.yaml").write_text("craft: 7\n", "utf-8")
    report = data(hangar)
    assert len(names(report)) == 4
    assert "club/cfgaudit.yaml:1:8: craft is 7" in fault(hangar)


def test_a_dump_by_its_header_and_a_sheet_by_its_keys(hangar: pathlib.Path) -> None:
    home = hangar / "heron"
    (home / "dump.txt").rename(home / "2026-05-01.log")
    (home / "build.yaml").rename(home / "heron.yaml")
    (home / "notes.txt").write_text("new rails on Tuesday\n", "utf-8")
    (home / "list.yaml").write_text("- rails\n", "utf-8")
    (home / "fields.yaml").write_text("weir: {far: 3}\n", "utf-8")
    assert "heron" in names(data(hangar))


def more(file: pathlib.Path, text: str) -> None:
    file.write_text(file.read_text("utf-8") + text, "utf-8")


def two_dumps(home: pathlib.Path) -> None:
    for name in ("may.txt", "june.txt"):
        shutil.copy(home / "dump.txt", home / name)
    (home / "dump.txt").unlink()


def two_called_dump(home: pathlib.Path) -> None:
    shutil.copy(home / "dump.txt", home / "dump.bak")


def two_sheets(home: pathlib.Path) -> None:
    shutil.copy(home / "build.yaml", home / "a.yaml")
    (home / "build.yaml").rename(home / "b.yaml")


def two_baselines(home: pathlib.Path) -> None:
    text = (home / "dump.txt").read_text("utf-8")
    head, rest = text.split("\n", 1)
    fact = "~ baseline of: otter, recorded 2026-05-01T10:00:00+02:00 with cfgaudit 0.1.0"
    for name in ("old.txt", "new.txt"):
        (home / name).write_text(f"{head}\n{fact}\n{rest}", "utf-8")


FAULTS: dict[str, Callable[[pathlib.Path], object]] = {
    "2 dumps lie here: dump.bak, dump.txt": two_called_dump,
    "2 dumps lie here: june.txt, may.txt; call one of them dump.txt": two_dumps,
    "2 build sheets lie here: a.yaml, b.yaml; call one of them build.yaml": two_sheets,
    "2 baselines lie here: new.txt, old.txt; keep one of them here": two_baselines,
    "there is a build sheet, and no dump beside it": lambda home: (home / "dump.txt").unlink(),
    "no dialect knows this dump": lambda home: (home / "dump.txt").write_bytes(b""),
    "the dump is UTF-16 text": lambda home: (home / "dump.txt").write_bytes(b"\xff\xfea"),
    "devices is 3, where a list must be": lambda home: (home / "build.yaml").write_text("devices: 3\n"),
    "build.yaml:2:1": lambda home: (home / "build.yaml").write_text("a: [\n"),
    "no rules in": lambda home: more(home / "build.yaml", "rules: {folder: mine}\n"),
    "there is no rule no/such": lambda home: more(
        home / "build.yaml", "accepted: [{rule: no/such, reason: x}]\n"
    ),
}


@pytest.mark.parametrize("says", FAULTS)
def test_what_cannot_be_audited_is_a_row_and_no_more(hangar: pathlib.Path, says: str) -> None:
    FAULTS[says](hangar / "otter-2")
    said = run("fleet", hangar, "--fail-at", "never")
    assert (said.code, said.err) == (2, "")
    assert "3 craft · 0 drifted" in said.out
    assert says in fault(hangar)
    assert says in said.out


def test_links_are_followed_and_lead_nowhere_twice(hangar: pathlib.Path, tmp_path: pathlib.Path) -> None:
    shutil.copytree(hangar / "heron", tmp_path / "elsewhere")
    (hangar / "lent").symlink_to(tmp_path / "elsewhere")
    (hangar / "heron" / "back").symlink_to(hangar)
    assert names(data(hangar)) == ["heron", "lent", "otter-1", "otter-2", "otter-3"]


def test_what_lies_beside_a_sheet_is_looked_at_in_short(hangar: pathlib.Path) -> None:
    home = hangar / "heron"
    (home / "dump.txt").rename(home / "heron.txt")
    os.mkfifo(home / "pipe")
    with (home / "flight.bin").open("wb") as log:
        log.truncate(10**11)  # nothing but a size
    assert "heron" in names(data(hangar))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="to root nothing is closed")
def test_a_folder_that_is_closed_is_a_row(hangar: pathlib.Path) -> None:
    (hangar / "heron").chmod(0)
    assert "heron:1:1: this folder cannot be read" in fault(hangar)


def test_what_is_no_fleet(hangar: pathlib.Path, tmp_path: pathlib.Path) -> None:
    (tmp_path / "empty").mkdir()
    assert "there are no craft below this folder" in refused("fleet", tmp_path / "empty")
    assert "there is no such folder" in refused("fleet", tmp_path / "none")
    assert "this is a file" in refused("fleet", hangar / "heron" / "dump.txt")
    assert "did you mean heron?" in refused("fleet", hangar, "--only", "herons")
    assert "--jobs and --cluster" in refused("fleet", hangar, "--jobs", "2", "--cluster", "tcp://x:1")


def test_some_of_them(hangar: pathlib.Path) -> None:
    assert names(data(hangar, "--only", "otter-3", "--only", "heron")) == ["heron", "otter-3"]


# ------------------------------------------------------------------------- what is said


def test_exit_codes(hangar: pathlib.Path) -> None:
    assert run("fleet", hangar).code == 0
    changed(hangar, "otter-2", "volts.full := 420", "volts.full := 435")
    assert run("fleet", hangar).code == 1
    assert run("fleet", hangar, "--fail-at", "never").code == 0
    (hangar / "heron" / "dump.txt").unlink()
    assert run("fleet", hangar, "--fail-at", "never").code == 2


def test_who_differs(hangar: pathlib.Path) -> None:
    changed(hangar, "otter-2", "volts.full := 420", "volts.full := 435")
    changed(hangar, "otter-3", "screen.frames := 10", "screen.frames := 12")
    said = run("fleet", hangar).out
    assert "plover on Reed-405, quad-x: 3 craft\n" in said
    assert re.search(r"  battery full at +4\.35 V per cell on otter-2 +2 of 3: 4\.2 V per cell\n", said)
    assert re.search(r"  screen\.frames +12 on otter-3 +2 of 3: 10\n", said)
    assert "dunlin on Sedge-743, hexa-x: 1 craft (heron)" in said


def test_names_are_nobodys_difference(hangar: pathlib.Path) -> None:
    changed(hangar, "otter-2", 'craft.called := "otter"', 'craft.called := "lutra"')
    kinds = data(hangar)["kinds"]
    assert isinstance(kinds, list)
    assert [one["differences"] for one in kinds] == [[], []]


def test_more_than_a_few_findings_are_counted(tmp_path: pathlib.Path) -> None:
    few, every = run("fleet", "samples").out, run("fleet", "samples", "--all").out
    assert "and 3 more findings: --all lists them" in few
    assert "more findings" not in every
    assert len(re.findall(r"^(?:ERROR|WARNING|NOTE) ", every, re.MULTILINE)) == 6


def test_the_findings_are_those_of_an_audit() -> None:
    rows = data("samples")["craft"]
    assert isinstance(rows, list)
    for row in rows:
        alone = json.loads(
            run("audit", row["craft"], "--project", "samples/cfgaudit.yaml", "--format", "json").out
        )
        assert [one["fingerprint"] for one in row["findings"]] == [
            one["fingerprint"] for one in alone["findings"]
        ]
        assert {**row["counts"]} == alone["counts"]


# ------------------------------------------------------------------------- drift


@pytest.fixture
def recorded(hangar: pathlib.Path, tmp_path: pathlib.Path) -> tuple[pathlib.Path, pathlib.Path]:
    """The hangar with a baseline of otter-1, and the key of its seals."""
    home, key = hangar / "otter-1", tmp_path / "seal.key"
    changed(hangar, "otter-1", 'stick.secret := ""', 'stick.secret := "5ec2e7 words"')
    said = run(
        *("baseline", "record", home / "dump.txt", "--build", home / "build.yaml"),
        *("--to", home / "baseline.txt", "--key", key),
    )
    assert said.code == 0, said
    return hangar, key


def drift_of(report: dict[str, object], craft: str) -> dict[str, object]:
    rows = report["craft"]
    assert isinstance(rows, list)
    (drift,) = [row["drift"] for row in rows if row["craft"] == craft]
    assert isinstance(drift, dict)
    return drift


def test_drift(recorded: tuple[pathlib.Path, pathlib.Path]) -> None:
    hangar, key = recorded
    assert run("fleet", hangar, "--key", key).code == 0
    assert drift_of(data(hangar, "--key", key), "otter-1")["changes"] == 0
    changed(hangar, "otter-1", "volts.warn := 350", "volts.warn := 355")
    assert run("fleet", hangar, "--key", key, "--fail-at", "never").code == 0
    said = run("fleet", hangar, "--key", key)
    assert said.code == 1
    assert re.search(r"DRIFT +1 change since \S+baseline\.txt, recorded 20", said.out)
    assert "how it flies: battery warns at 3.5 → 3.55 V per cell" in said.out
    assert drift_of(data(hangar, "--key", key), "otter-2") == {
        "baseline": "",
        "recorded": "",
        "compared": False,
    }


def test_seals_of_another_key_are_no_drift_and_told(
    recorded: tuple[pathlib.Path, pathlib.Path], tmp_path: pathlib.Path
) -> None:
    hangar, _ = recorded
    said = run("fleet", hangar, "--key", tmp_path / "other.key")
    assert said.code == 0
    assert re.search(r"^SEALED +no change that can be told since \S+baseline\.txt", said.out, re.MULTILINE)
    assert "nobody can say whether it changed; name that key with --key" in said.out
    assert "DRIFT" not in said.out


def test_a_private_value_drifts_by_its_seal(recorded: tuple[pathlib.Path, pathlib.Path]) -> None:
    hangar, key = recorded
    changed(hangar, "otter-1", "5ec2e7 words", "5ec2e7 other words")
    assert drift_of(data(hangar, "--key", key), "otter-1")["changes"] == 1
    missing = hangar.parent / "no.key"
    unknown = drift_of(data(hangar, "--key", missing), "otter-1")
    assert (unknown["changes"], unknown["sealed_otherwise"]) == (0, ["stick.secret"])
    assert not missing.exists()


def test_a_baseline_with_its_private_values_is_no_drift(hangar: pathlib.Path) -> None:
    home = hangar / "otter-1"
    changed(hangar, "otter-1", 'stick.secret := ""', 'stick.secret := "5ec2e7 words"')
    run(
        *("baseline", "record", home / "dump.txt", "--build", home / "build.yaml"),
        *("--to", home / "baseline.txt", "--keep-private"),
    )
    assert drift_of(data(hangar), "otter-1")["changes"] == 0


def test_a_baseline_that_is_yet_to_be_recorded(hangar: pathlib.Path) -> None:
    (hangar / "cfgaudit.yaml").write_text(
        "craft: {otter: {build: otter-1/build.yaml, dump: otter-1/dump.txt, baseline: known.txt}}\n", "utf-8"
    )
    said = run("fleet", hangar)
    assert said.code == 0
    assert "not recorded" in said.out


# ------------------------------------------------------------------------- what must never be said


@pytest.mark.parametrize("kind", PLANTED)
def test_private_values_are_never_shown(tmp_path: pathlib.Path, kind: str) -> None:
    """Three craft alike, two with values of their own in every private setting."""
    for n, text in enumerate([planted(kind)] * 3 + [planted(kind).replace("5e", "5ec2e75e", 1), ""]):
        home = tmp_path / f"{kind}-{n}"
        home.mkdir()
        shutil.copy(ROOT / "samples" / kind / "build.yaml", home)
        good = ROOT / "samples" / kind / "known-good.txt"
        (home / "dump.txt").write_text(text or good.read_text("utf-8"), "utf-8")
    for form in ("text", "json"):
        for jobs in ("1", "2"):
            said = run("fleet", tmp_path, "--format", form, "--jobs", jobs, "--all")
            assert not TRACE.search(said.out + said.err)
            assert "(private, not shown)" in said.out


def test_hostile_names(hangar: pathlib.Path) -> None:
    (hangar / "otter-1").rename(hangar / HOSTILE)
    (hangar / "otter-2").rename(hangar / "-rf\n")
    changed(hangar, HOSTILE, "volts.full := 420", "volts.full := 435")
    said = run("fleet", hangar)
    assert said.code == 1
    assert all(line.isprintable() for line in said.out.splitlines())
    assert "\\x1b[31m" in said.out
    assert "-rf\\n" in said.out
    assert names(data(hangar, "--only", "-rf\n")) == ["-rf\\n"]


# ------------------------------------------------------------------------- who does the work


@pytest.mark.parametrize("form", ["text", "json"])
def test_several_processes_say_the_same(tmp_path: pathlib.Path, form: str) -> None:
    make_fleet(tmp_path / "fleet", 24)
    (tmp_path / "fleet" / "otter-0004" / "dump.txt").unlink()
    alone = run("fleet", tmp_path / "fleet", "--jobs", "1", "--format", form, "--all")
    two = run("fleet", tmp_path / "fleet", "--jobs", "2", "--format", form, "--all")
    usual = run("fleet", tmp_path / "fleet", "--format", form, "--all")
    assert alone == two == usual
    assert alone.code == 2


def test_a_process_of_its_own_says_the_same() -> None:
    """Workers start from the command as it is really run."""
    done = process("fleet", "samples", "--jobs", "2")
    assert (done.returncode, done.stderr) == (1, b"")
    assert done.stdout.decode() == run("fleet", "samples", "--jobs", "1").out


@pytest.fixture
def interruptible() -> Iterator[None]:
    """A shell has what it starts in the background ignore interrupts, and that is inherited."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.skipif(sys.platform == "win32", reason="sends a signal to a group of processes")
@pytest.mark.usefixtures("interruptible")
def test_an_interrupt_ends_all_at_once(tmp_path: pathlib.Path) -> None:
    make_fleet(tmp_path / "fleet", 300)
    with subprocess.Popen(
        [sys.executable, "-m", "cfgaudit", "fleet", str(tmp_path / "fleet"), "--jobs", "2"],
        cwd=ROOT,
        env=surroundings(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as running:
        time.sleep(2)
        os.killpg(running.pid, signal.SIGINT)
        sent = time.monotonic()
        out, err = running.communicate(timeout=30)
        took = time.monotonic() - sent
    assert (running.returncode, out, err.strip()) == (130, b"", b"")
    assert took < 5
    assert is_empty_soon(running.pid)


def is_empty_soon(group: int) -> bool:
    """Whether nobody of a group of processes is left within five seconds."""
    for _ in range(100):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


_CLUSTER = """
import distributed, sys
with distributed.LocalCluster(
    n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None, host="127.0.0.1", protocol="tcp://"
) as started:
    print(started.scheduler_address, flush=True)
    sys.stdin.read()
"""
_COMMAND = """
import sys, cfgaudit
{before}
from cfgaudit.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """The address of a cluster with one worker, on the loopback interface, in a process of its own."""
    pytest.importorskip("distributed")
    pipe = subprocess.PIPE
    with subprocess.Popen(
        [sys.executable, "-c", _CLUSTER], cwd=ROOT, stdin=pipe, stdout=pipe, text=True
    ) as started:
        assert started.stdout
        yield started.stdout.readline().strip()
        assert started.stdin
        started.stdin.close()


def apart(*arguments: str | pathlib.Path, before: str = "") -> Outcome:
    """A run in a process of its own: the library's threads go on for as long as their process."""
    command = [sys.executable, "-c", _COMMAND.format(before=before), *map(str, arguments)]
    done = subprocess.run(
        command, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True
    )
    return Outcome(done.returncode, done.stdout, done.stderr)


def test_a_cluster_says_the_same(hangar: pathlib.Path, cluster: str) -> None:
    changed(hangar, "otter-2", "volts.full := 420", "volts.full := 435")
    (hangar / "heron" / "dump.txt").unlink()
    assert apart("fleet", hangar, "--cluster", cluster) == run("fleet", hangar, "--jobs", "1")


def test_a_cluster_of_another_version(hangar: pathlib.Path, cluster: str) -> None:
    outcome = apart("fleet", hangar, "--cluster", cluster, before='cfgaudit.__version__ = "9.9"')
    assert outcome.code == 2
    assert "the cluster has cfgaudit 0.1.0; start workers, and install cfgaudit 9.9" in outcome.err


def test_without_the_library(hangar: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert "pip install 'cfgaudit[cluster]'" in refused("fleet", hangar, "--cluster", "tcp://127.0.0.1:1")


def test_no_scheduler_answers(hangar: pathlib.Path) -> None:
    pytest.importorskip("distributed")
    patience = "import cfgaudit.cli.fleet; cfgaudit.cli.fleet.PATIENCE = 1"
    outcome = apart("fleet", hangar, "--cluster", "tcp://127.0.0.1:1", before=patience)
    assert (outcome.code, outcome.out) == (2, "")
    assert "no scheduler answers at tcp://127.0.0.1:1" in outcome.err

"""The bench list from the command line: options, exit codes, and the files that it names."""

from __future__ import annotations

import pathlib
import re
import shlex
import subprocess
import sys

import pytest

from tests.cli.session import (
    AFTER,
    BEFORE,
    HERON,
    HERON_SHEET,
    KNOWN_GOOD,
    SHEET,
    VOLE,
    VOLE_SHEET,
    Outcome,
    refused,
    run,
    surroundings,
)
from tests.house.checkout import ROOT

AUDIT = ("audit", AFTER, "--build", SHEET)
DIFF = ("diff", BEFORE, AFTER, "--build", SHEET)


def steps(outcome: Outcome) -> list[str]:
    """The numbers of the steps in a list."""
    return re.findall(r"^\[ \] ([0-9]+\.[0-9]+) ", outcome.out, re.MULTILINE)


@pytest.mark.parametrize("command", [AUDIT, DIFF], ids=["audit", "diff"])
def test_the_list_does_not_change_how_a_run_ends(command: tuple[str, ...]) -> None:
    assert run(*command, "--bench").code == run(*command).code == 1


def test_exit_codes_without_findings_or_changes() -> None:
    assert run("audit", KNOWN_GOOD, "--build", SHEET, "--bench", "--fail-at", "note").code == 0
    assert run(*AUDIT, "--bench", "--fail-at", "never").code == 0
    assert run("diff", AFTER, AFTER, "--build", SHEET, "--bench").code == 0


@pytest.mark.parametrize(
    ("dump", "sheet"),
    [(KNOWN_GOOD, SHEET), (HERON, HERON_SHEET), ("samples/vole/known-good.txt", VOLE_SHEET)],
)
def test_without_findings_the_list_is_short_and_says_so(dump: str, sheet: str) -> None:
    outcome = run("audit", dump, "--build", sheet, "--bench")
    assert "Nothing was found that speaks against the build, so the list is short" in outcome.out
    assert len(steps(outcome)) < 15
    assert "  for " not in outcome.out


@pytest.mark.parametrize(
    ("dump", "sheet"), [(AFTER, SHEET), (VOLE, VOLE_SHEET), (HERON, SHEET), (KNOWN_GOOD, HERON_SHEET)]
)
def test_every_finding_calls_for_a_step(dump: str, sheet: str) -> None:
    plain = run("audit", dump, "--build", sheet, "--no-why")
    outcome = run("audit", dump, "--build", sheet, "--bench")
    found = re.findall(r"^ {9}rule {6}([^\s,]+)(?:, at: .*)?$", plain.out, re.MULTILINE)
    named = re.findall(r"([a-z-]+/[a-z-]+) ·", outcome.out)
    assert found
    assert {*found} <= {*named}
    numbers = {int(number) for number in re.findall(r"\[([0-9]+)\] ", outcome.out)}
    assert numbers == {*range(1, len(numbers) + 1)}
    assert len(numbers) >= len(found)


@pytest.mark.parametrize("command", [AUDIT, DIFF, ("audit", VOLE, "--build", VOLE_SHEET)])
def test_stages_and_steps_are_in_order(command: tuple[str, ...]) -> None:
    found = [[int(part) for part in number.split(".")] for number in steps(run(*command, "--bench"))]
    assert found == sorted(found)
    assert {stage for stage, _ in found} == {0, 1, 2, 3, 4, 5}


def test_the_lines_to_paste_are_those_of_the_mends(tmp_path: pathlib.Path) -> None:
    target = tmp_path / "mends.txt"
    outcome = run(*AUDIT, "--bench", "--mend", target)
    lines = [line for line in target.read_text("utf-8").splitlines() if not line.startswith("~")]
    assert lines
    for line in lines:
        assert f"            {line}\n" in outcome.out
    words = " ".join(outcome.out.split())
    assert f"They are in {target}, those that take them back in {target}.undo." in words
    assert "The option --mend" not in outcome.out


def test_the_commands_that_it_names_work(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the options of the run, and names that a shell would tear apart."""
    sheet, rules = tmp_path / "my sheet.yaml", tmp_path / "my rules"
    sheet.write_bytes(pathlib.Path(SHEET).read_bytes())
    rules.mkdir()
    (rules / "mine.yaml").write_bytes(
        pathlib.Path("rules/logging.yaml").read_bytes().replace(b"logging/", b"my/")
    )
    new = pathlib.Path(KNOWN_GOOD).read_bytes()
    given = ("--build", sheet, "--rules", rules, "--dialect", "plover", "--bench")
    listed = [run("audit", pathlib.Path(dump).resolve(), *given).out for dump in (AFTER, KNOWN_GOOD)]
    monkeypatch.chdir(tmp_path)
    pathlib.Path("new.txt").write_bytes(new)
    for text, verb in zip(listed, ("audit", "diff"), strict=True):
        (typed,) = re.findall(rf"^ +cfgaudit ({verb} .*)$", text, re.MULTILINE)
        assert run(*shlex.split(typed)).code == 0


def test_a_guide_of_one_s_own(tmp_path: pathlib.Path) -> None:
    rule = pathlib.Path("rules/logging.yaml").read_text("utf-8").replace("logging/", "my/")
    (tmp_path / "mine.yaml").write_text(rule, "utf-8")
    (tmp_path / "bench").mkdir()
    (tmp_path / "bench" / "mine.yaml").write_text(
        "stage: 5\nsteps:\n  - step: tea\n    always: true\n    do: Put the kettle on.\n"
        "    see: '{build.craft} and steam.'\n    if_not: No tea.\n",
        "utf-8",
    )
    assert "see of the step tea may come to nothing" in refused(*AUDIT, "--bench", "--rules", tmp_path)
    mine = tmp_path / "bench" / "mine.yaml"
    mine.write_text(mine.read_text("utf-8").replace("'{build.craft} and steam.'", "Steam."), "utf-8")
    assert "Put the kettle on." in run(*AUDIT, "--bench", "--rules", tmp_path).out
    assert run(*AUDIT, "--rules", tmp_path).out  # without --bench the guide is not looked at


@pytest.mark.parametrize(
    ("command", "said"),
    [
        ((*AUDIT, "--bench", "--format", "json"), "the bench list is for people"),
        ((*DIFF, "--bench", "--format", "json"), "the bench list is for people"),
        ((*DIFF, "--format", "markdown"), "add --bench"),
        (("diff", BEFORE, AFTER, "--bench"), "name the build sheet with --build"),
        (("diff", SHEET, SHEET, "--build", SHEET, "--bench"), "no dialect knows these dumps"),
        (("diff", BEFORE, AFTER, "--build", "none.yaml", "--bench"), "none.yaml:1:1"),
    ],
)
def test_what_is_refused(command: tuple[str, ...], said: str) -> None:
    assert said in refused(*command)


@pytest.mark.parametrize("form", ["text", "markdown"])
def test_names_from_files_steer_nothing(form: str, tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "sheet.yaml"
    text = pathlib.Path(SHEET).read_text("utf-8")
    for old, new in (
        ("craft: otter", r'craft: "o\e[2J<b>*tter*"'),
        ("name: video unit", r'name: "video\n- [ ] unit\u202e"'),
    ):
        assert old in text
        text = text.replace(old, new)
    sheet.write_text(text, "utf-8")
    outcome = run("audit", AFTER, "--build", sheet, "--bench", "--format", form)
    assert outcome.code == 1
    assert all(line.isprintable() for line in outcome.out.splitlines())
    assert "\n- [ ] unit" not in outcome.out
    if form == "markdown":
        assert r"o\\x1b\[2J\<b\>\*tter\*" in outcome.out


def test_an_audit_without_it_loads_nothing_of_it() -> None:
    code = (
        "import sys\nfrom cfgaudit.cli.main import main\n"
        f"main(['audit', '{AFTER}', '--build', '{SHEET}'])\n"
        "print([name for name in sys.modules if name.startswith('cfgaudit.') and 'bench' in name])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=surroundings(), capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "['cfgaudit.cli.bench']"  # its options

"""Private values, planted so that they can be known again: no command writes them, wherever it writes."""

from __future__ import annotations

import json
import pathlib
import re
from collections.abc import Iterator

import pytest

from tests.cli.session import run
from tests.house.checkout import ROOT

# How each private setting's line begins, by sample craft, and what is planted behind it: known again
# in any case, and within what the setting takes.
PLANTED: dict[str, dict[str, str]] = {
    "otter": {
        "pilot.called := ": '"Secretivus"',
        "pilot.phone := ": '"0600 5ec2e7"',
        "stick.secret := ": '"5ec2e7 words"',
        "place.home := ": '"51.5ec2e7 N"',
    },
    "heron": {'pilot = "': 'Secretivus"', "pairing = ": "5e-c2-e7-5e-c2", 'home = "': '51.5ec2e7 N"'},
    "vole": {
        "NAME_OF_PILOT,": "Secretivus",
        "CALL_OF_PILOT,": '"0600 5ec2e7"',
        "HAND_PAIR,": "5ec2e75ec2e7",
        "PLACE_HOME,": '"51.5ec2e7 N"',
    },
}
TRACE = re.compile("secretivus|5ec2e7|5e-c2-e7", re.IGNORECASE)
SPOILT = {"otter": "stick.secret := ", "heron": "pairing = ", "vole": "HAND_PAIR,"}


def planted(craft: str) -> str:
    """The good dump with every private setting's line replaced."""
    text = (ROOT / "samples" / craft / "known-good.txt").read_text("utf-8")
    for start, value in PLANTED[craft].items():
        text, times = re.subn(rf"(?m)^({re.escape(start)}).*$", lambda found, new=value: found[1] + new, text)
        assert times == 1, start
    return text


@pytest.fixture(params=PLANTED)
def craft(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def dumps(craft: str, tmp_path: pathlib.Path) -> tuple[pathlib.Path, ...]:
    """A dump with private values; one that says them twice, otherwise; one with a value that cannot be."""
    text, key = planted(craft), SPOILT[craft]
    line = next(line for line in text.splitlines() if line.startswith(key))
    twice = text.replace(line, f"{line}\n{line.replace('5e', '5ec2e75e', 1)}")
    garbled = text.replace(line, f"{line}5ec2e7 \\ 5ec2e7")
    files = []
    for name, content in {"one": text, "twice": twice, "garbled": garbled}.items():
        files.append(tmp_path / f"{name}.txt")
        files[-1].write_text(content, "utf-8")
    sign = {"otter": "~", "heron": ";", "vole": "#"}[craft]
    commented = "".join(
        f"{sign} {line}\n" if any(line.startswith(start) for start in PLANTED[craft]) else f"{line}\n"
        for line in text.splitlines()
    )
    (tmp_path / "commented.txt").write_text(commented, "utf-8")
    return tuple(files)


def commands(craft: str, dump: pathlib.Path) -> Iterator[tuple[str, ...]]:
    sheet = f"samples/{craft}/build.yaml"
    good = f"samples/{craft}/known-good.txt"
    mends = str(dump.with_name(f"{dump.stem}-mends.txt"))
    yield "audit", str(dump), "--build", sheet, "--not-judged"
    yield "audit", str(dump), "--build", sheet, "--to-git", "--mend", mends
    yield "audit", str(dump), "--build", sheet, "--to-git", "--format", "json"
    yield "audit", str(dump), "--build", sheet, "--bench"
    for form in ("sarif", "junit", "github", "markdown"):
        yield "audit", str(dump), "--build", sheet, "--to-git", "--format", form
    for form in ("text", "json"):
        yield "diff", good, str(dump), "--build", sheet, "--format", form
        yield "diff", str(dump), good, "--format", form
        yield "diff", good, str(dump), "--raw", "--format", form
        yield "numbers", str(dump), "--build", sheet, "--format", form
    for form in ("text", "json"):
        build = ("--build", sheet, "--format", form)
        yield "preset", good, str(dump), *build
        yield "preset", str(dump), str(dump.with_name("commented.txt")), *build
        yield "preset", str(dump), str(dump), good, *build
        yield "preset", good, str(dump), str(dump), *build
        yield "preset", good, str(dump.with_name("commented.txt")), str(dump), *build
    for mine, factory in ((str(dump), good), (good, str(dump))):
        update = ("carry", "--old-factory", factory, "--mine", mine, "--new-factory", good)
        script = str(dump.with_name(f"{dump.stem}-{factory == good}-script.txt"))
        yield *update, "--all", "--after", str(dump), "--script", script
        yield *update, "--build", sheet, "--format", "json"
    recorded, key = (
        str(dump.with_name(f"{dump.stem}-baseline.txt")),
        ("--key", str(dump.with_name("seal.key"))),
    )
    yield "baseline", "record", str(dump), "--build", sheet, "--to", recorded, *key
    for against in (recorded, good, str(dump)):
        for fresh in (str(dump), good, str(dump.with_name("commented.txt"))):
            check = ("baseline", "check", fresh, "--build", sheet, "--against", against, *key)
            yield check
            yield *check, "--format", "json"
    yield "explain", "file/private-value", "--dump", str(dump)
    yield "build", "draft", str(dump)


def test_nothing_that_is_written_shows_them(
    craft: str, dumps: tuple[pathlib.Path, ...], tmp_path: pathlib.Path
) -> None:
    for dump in dumps:
        for arguments in commands(craft, dump):
            said = run(*arguments)
            assert said.code in (0, 1, 2), arguments
            assert not TRACE.search(said.out + said.err), (arguments, TRACE.search(said.out + said.err))
    for file in tmp_path.rglob("*"):
        if file not in dumps and file.name != "commented.txt":
            assert not TRACE.search(file.read_text("utf-8")), file


def test_all_are_found_before_they_go_into_git(craft: str, dumps: tuple[pathlib.Path, ...]) -> None:
    sheet = f"samples/{craft}/build.yaml"
    for dump, most in zip(dumps, (0, 1, 0), strict=True):
        said = json.loads(run("audit", dump, "--build", sheet, "--to-git", "--format", "json").out)
        found = [one for one in said["findings"] if one["rule"] == "file/private-value"]
        assert len(found) == len(PLANTED[craft]) + most
        assert run("audit", dump, "--build", sheet, "--to-git").code == 1


def test_a_file_that_stays_at_home_may_hold_them(craft: str, dumps: tuple[pathlib.Path, ...]) -> None:
    assert run("audit", dumps[0], "--build", f"samples/{craft}/build.yaml").code == 0


def test_every_private_setting_of_the_shipped_dialects_is_planted(craft: str) -> None:
    dialect = {"otter": "plover", "heron": "dunlin", "vole": "avocet"}[craft]
    text = (ROOT / "grammars" / f"{dialect}.yaml").read_text("utf-8")
    assert text.count("private: true") == len(PLANTED[craft])


def test_at_the_bench_they_are_no_settings_to_type_again(craft: str, dumps: tuple[pathlib.Path, ...]) -> None:
    sheet = f"samples/{craft}/build.yaml"
    said = run("audit", dumps[0], "--build", sheet, "--to-git", "--bench").out
    assert said.count("holds a private value, and this file is to go into") >= len(PLANTED[craft])
    assert "Empty these values in a copy of the file" in " ".join(said.split())
    assert "type each setting again" not in said


def test_a_baseline_may_go_into_git(
    craft: str, dumps: tuple[pathlib.Path, ...], tmp_path: pathlib.Path
) -> None:
    """Its facts name what is sealed, and that is no private value."""
    sheet, kept = f"samples/{craft}/build.yaml", tmp_path / "kept.txt"
    key = ("--key", str(tmp_path / "seal.key"))
    for dump in dumps:
        assert run("baseline", "record", dump, "--build", sheet, "--to", kept, "--over", *key).code == 0
        told = json.loads(run("audit", kept, "--build", sheet, "--to-git", "--format", "json").out)
        assert not [one for one in told["findings"] if one["rule"] == "file/private-value"]
        assert run("baseline", "private", kept).code == 0


def test_what_a_remark_sign_puts_out_of_use_is_found_as_well(
    craft: str, dumps: tuple[pathlib.Path, ...]
) -> None:
    sheet = f"samples/{craft}/build.yaml"
    commented = dumps[0].with_name("commented.txt")
    told = json.loads(run("audit", commented, "--build", sheet, "--to-git", "--format", "json").out)
    found = [one for one in told["findings"] if one["rule"] == "file/private-value"]
    assert len(found) == len(PLANTED[craft])

"""What git has to be told so that it compares and merges baselines by their settings.

``.gitattributes`` belongs to the repository and says which files are meant. What is to be run for them
stands in git's config, which every clone has for itself.
"""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from cfgaudit.baseline.file import write_whole
from cfgaudit.baseline.git import git
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

ATTRIBUTES = ".gitattributes"
_DOES = "diff=cfgaudit merge=cfgaudit"
_GLOB = re.compile(r"([\\*?\[])")
_QUOTED = {"\n": r"\n", "\t": r"\t", "\r": r"\r", '"': r"\"", "\\": r"\\"}


class Step(Struct, frozen=True):
    """A line or a key of git's config. ``before``: what the key held that it replaces, or ""."""

    name: str  # "" for a line of .gitattributes
    value: str
    is_there: bool  # nothing is to be done
    before: str = ""


def top_of(folder: str) -> str:
    """The folder at the top of the repository. Raises Refusal outside of one."""
    done = git("rev-parse", "--show-toplevel", place=Place(folder, 1, 1), folder=folder)
    if done.returncode:
        raise Refusal(
            "this folder is in no repository with a working tree", "go to one, or begin one: git init"
        )
    return os.fsdecode(done.stdout.removesuffix(b"\n"))


def attribute_line(pattern: str) -> str:
    """The line for a pattern of gitattributes. Raises Refusal for one that git does not take."""
    if not pattern or pattern.startswith("!") or "\0" in pattern:
        raise Refusal(f"git takes no pattern {pattern!r} here", "write one such as baselines/*.txt")
    plain = pattern.isprintable() and " " not in pattern and pattern[0] not in '#"['
    return f"{pattern if plain else _quoted(pattern)} {_DOES}"


def pattern_of(path: str, top: str) -> str:
    """The pattern that means this file and no other; "" if it is not in the repository."""
    whole = os.path.join(os.path.realpath(os.path.dirname(path) or os.curdir), os.path.basename(path))
    inside = os.path.relpath(whole, os.path.realpath(top))
    if inside.split(os.sep)[0] == os.pardir or os.path.isabs(inside):
        return ""
    return "/" + _GLOB.sub(r"\\\1", inside.replace(os.sep, "/"))


def _quoted(pattern: str) -> str:
    """As git quotes a name in C's way."""
    return f'"{"".join(map(_in_quotes, pattern))}"'


def _in_quotes(character: str) -> str:
    if character in _QUOTED:
        return _QUOTED[character]
    if character.isprintable():
        return character
    return "".join(f"\\{byte:03o}" for byte in os.fsencode(character))


def drivers(python: str) -> Mapping[str, str]:
    """The keys of git's config, for the Python that cfgaudit runs in.

    Where that is gone one day, git compares and merges the lines as it would have without us.
    ``-P`` keeps a folder of the repository that is called cfgaudit from being run.
    """
    run = f"{shlex.quote(python)} -P -m cfgaudit baseline"
    # git fills in %L, %P, %O, %A and %B; any other sign of that kind has to be written twice
    test, merge = f"test -x {shlex.quote(python)}".replace("%", "%%"), f"{run} merge".replace("%", "%%")
    return {
        "diff.cfgaudit.textconv": f'f() {{ {run} show -- "$1" 2>/dev/null || cat -- "$1"; }}; f',
        "diff.cfgaudit.xfuncname": r"^\[(.*)\]$",
        "merge.cfgaudit.name": "baselines of cfgaudit, by their settings",
        "merge.cfgaudit.driver": (
            f"if {test}; then {merge} --marker-size=%L --path=%P -- %O %A %B; "
            "else git merge-file --marker-size=%L %A %O %B; fi"
        ),
    }


def steps(top: str, patterns: Iterable[str], python: str) -> Iterator[Step]:
    """What is to be done, and what is done already."""
    there = {line.strip() for line in _attributes(top).splitlines()}
    for line in dict.fromkeys(map(attribute_line, patterns)):
        yield Step("", line, line in there)
    for name, value in drivers(python).items():
        held = git("config", "--local", "-z", "--get-all", name, place=Place(name, 1, 1), folder=top)
        values = held.stdout.decode("utf-8", "replace").split("\0")[:-1]
        yield Step(name, value, values == [value], ", ".join(one for one in values if one != value))


def take(top: str, todo: Iterable[Step]) -> None:
    """Do what is not done yet. Raises Refusal."""
    lacking = [step for step in todo if not step.is_there]
    lines = [step.value for step in lacking if not step.name]
    if lines:
        text = _attributes(top)
        end = "\r\n" if "\r\n" in text else "\n"
        joint = end if text and not text.endswith("\n") else ""
        write_whole(os.path.join(top, ATTRIBUTES), text + joint + "".join(f"{line}{end}" for line in lines))
    for step in lacking:
        if step.name:
            done = git(
                "config",
                "--local",
                "--replace-all",
                step.name,
                step.value,
                place=Place(step.name, 1, 1),
                folder=top,
            )
            if done.returncode:
                said = done.stderr.decode("utf-8", "replace").strip() or "git does not say why"
                raise Refusal(f"git's config cannot be written ({said})", "try git config itself")


def _attributes(top: str) -> str:
    """The text of .gitattributes, "" if there is none. Raises Refusal."""
    file = Path(top, ATTRIBUTES)
    place = Place(str(file), 1, 1)
    if file.is_symlink():
        raise Refusal("git does not follow a link here", "put a file in its place", place)
    try:
        with open(file, encoding="utf-8", newline="") as text:
            return text.read()
    except FileNotFoundError:
        return ""
    except (OSError, ValueError):
        raise Refusal("this file cannot be read as text", "look at it, then try again", place) from None

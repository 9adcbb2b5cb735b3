"""The versions of one file in git: one log, one reading of the objects, whatever the file was called."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.baseline.git import git
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

ABSENT = ""  # in place of an object: the file was not there

_BEGIN = b"\x01"
_FORMAT = "%x01%H%x00%P%x00%aI%x00%an%x00%s"
_OBJECT = re.compile(rb"[0-9a-f]{40,64}")
# whatever a user has set, the output is to be this
_PLAIN = (
    *("-c", "log.showSignature=false", "-c", "i18n.logOutputEncoding=UTF-8", "-c", "diff.relative=false"),
    *("-c", "log.showRoot=true", "-c", "log.diffMerges=separate", "-c", "diff.orderFile=/dev/null"),
)


class Commit(Struct, frozen=True):
    """Who recorded something, and when: the author's ISO 8601 time."""

    id: str
    parents: tuple[str, ...]
    when: str
    who: str
    subject: str


NOT_COMMITTED = Commit("", (), "", "", "not committed yet")


class Version(Struct, frozen=True):
    """What a commit made of the file: its object before, by each parent of a merge, and after."""

    commit: Commit
    before: tuple[str, ...]  # objects; ABSENT where the file was not there
    after: str
    name: str  # of the file before, from the top of the repository

    @property
    def is_first(self) -> bool:
        """Whether the file was in none of the parents."""
        return all(one == ABSENT for one in self.before)


class Log(Struct, frozen=True):
    """All versions, newest first. ``cut``: commits of which this clone does not have the parents."""

    versions: tuple[Version, ...]
    cut: frozenset[str]


def log_of(path: str, since: str = "") -> Log:
    """The versions of a file, over its renames. Raises Refusal where there are none.

    ``since`` leaves out a commit and all that it builds upon.
    """
    folder, name = _split(path)
    without = [f"^{commit_of(since, path)}"] if since else []
    versions = tuple(_joined(_followed(path, folder, name, ["HEAD", *without], without)))
    if not versions and not since:
        raise Refusal("git has no commit of this file", _MEND, Place(path, 1, 1))
    return Log(versions, _cut(folder))


def _followed(
    path: str, folder: str, name: str, which: Sequence[str], without: Sequence[str]
) -> Iterator[Version]:
    """The records of a file over its renames, from some commits downwards.

    git goes over from a new file to one that it resembles, and one craft's baseline resembles another's.
    There it is asked again, by the file's own name.
    """
    asked = ["--raw", "-z", "--no-abbrev", "--no-color", "-M", "-m", f"--format={_FORMAT}"]
    command = ("--literal-pathspecs", *_PLAIN, "log", "--follow", *asked, *which, "--", name)
    place = Place(path, 1, 1)
    done = git(*command, place=place, folder=folder)
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().removeprefix("fatal: ").splitlines()
        raise Refusal(f"git has no history here ({said[0] if said else 'it does not say why'})", _MEND, place)
    records = [*_records(done.stdout)]
    copy = next((version for version, is_copy in records if is_copy), None)
    if copy is None:
        yield from (version for version, _ in records)
        return
    for version, _ in records:
        if version.commit.id == copy.commit.id:
            break
        yield version
    for parent in copy.commit.parents:
        yield replace(copy, before=(_parsed(f"{parent}:{copy.name}", path),))
    top = git("rev-parse", "--show-toplevel", place=place, folder=folder)
    at_top = os.fsdecode(top.stdout.removesuffix(b"\n")) if top.returncode == 0 else folder
    yield from _followed(path, at_top, copy.name, [*copy.commit.parents, *without], without)


_MEND = "name a file that is committed"


def objects(ids: Iterable[str], path: str) -> dict[str, bytes]:
    """The contents of objects, each read once; of one that git does not have, nothing."""
    wanted = [one for one in dict.fromkeys(ids) if one != ABSENT]
    if not wanted:
        return {}
    folder, _ = _split(path)
    given = "".join(f"{one}\n" for one in wanted).encode()
    out = git("cat-file", "--batch", place=Place(path, 1, 1), folder=folder, given=given).stdout
    found: dict[str, bytes] = {}
    at = 0
    for one in wanted:
        end = out.index(b"\n", at) if b"\n" in out[at : at + 300] else len(out)
        words = out[at:end].split()
        at = end + 1
        if len(words) == 3 and words[2].isdigit():
            size = int(words[2])
            if words[1] == b"blob":
                found[one] = out[at : at + size]
            at += size + 1
    return found


def commit_of(revision: str, path: str) -> str:
    """The full name of a commit in a file's repository. Raises Refusal if there is none."""
    found = _parsed(f"{revision}^{{commit}}", path)
    if found == ABSENT:
        raise Refusal(f"git knows no commit {revision!r} here", "name a commit, tag or branch")
    return found


def object_at(revision: str, name: str, path: str) -> str:
    """The object of a file, by its name from the top, in a revision; ABSENT if it is not there.

    Raises Refusal if there is no such revision.
    """
    return _parsed(f"{commit_of(revision, path)}:{name}", path)


def _parsed(spec: str, path: str) -> str:
    folder, _ = _split(path)
    asked = ("rev-parse", "--verify", "-q", "--end-of-options", spec)
    done = git(*asked, place=Place(path, 1, 1), folder=folder)
    return done.stdout.decode().strip() if done.returncode == 0 else ABSENT


def name_from_top(path: str) -> str:
    """A file's name from the top of its repository."""
    folder, name = _split(path)
    done = git("rev-parse", "--show-prefix", place=Place(path, 1, 1), folder=folder)
    return os.fsdecode(done.stdout.removesuffix(b"\n")) + name


def _split(path: str) -> tuple[str, str]:
    """Folder and name; where the folder is gone, as much of the path as is there."""
    folder, name = os.path.split(path)
    while folder and not os.path.isdir(folder):
        folder, upper = os.path.split(folder)
        name = os.path.join(upper, name)
    return folder, name


def _records(out: bytes) -> Iterator[tuple[Version, bool]]:
    """What the log says, one parent at a time, and whether git takes the file for a copy of another.

    Names are taken by their place, whatever is in them.
    """
    tokens = iter(out.split(b"\0"))
    commit = NOT_COMMITTED
    for token in tokens:
        token = token.removeprefix(b"\n")
        if token.startswith(_BEGIN) and _OBJECT.fullmatch(token[1:]):
            parents, when, who, subject = (next(tokens).decode("utf-8", "replace") for _ in range(4))
            commit = Commit(token[1:].decode(), tuple(parents.split()), when, who, subject)
        elif token.startswith(b":"):
            _, _, before, after, status = token.split()
            name = next(tokens)
            is_copy = status[:1] == b"C"
            if is_copy or status[:1] == b"R":
                new_name = next(tokens)
                name = new_name if is_copy else name
            yield Version(commit, (_object(before),), _object(after), os.fsdecode(name)), is_copy


def _object(name: bytes) -> str:
    return ABSENT if not name.strip(b"0") else name.decode()


def _joined(records: Iterable[Version]) -> Iterator[Version]:
    """The records of a merge as one. A parent that has the file as the merge has it is in no record."""
    for _, group in groupby(records, key=lambda one: one.commit.id):
        told = [*group]
        first = told[0]
        same = (first.after,) * (len(first.commit.parents) - len(told))
        yield replace(first, before=(*(object_id for one in told for object_id in one.before), *same))


def _cut(folder: str) -> frozenset[str]:
    place = Place(folder, 1, 1)
    done = git("rev-parse", "--git-path", "shallow", place=place, folder=folder)
    file = os.path.join(folder, os.fsdecode(done.stdout.removesuffix(b"\n")))
    try:
        with open(file, encoding="ascii") as text:
            return frozenset(text.read().split())
    except (OSError, ValueError):
        return frozenset()

"""Files as git keeps them: ``REV:path``, and what git knows of a file."""

from __future__ import annotations

import os
import shutil
import subprocess
from enum import StrEnum

from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

PATIENCE = 60  # seconds; git on a slow disk


def show(name: str) -> bytes:
    """The bytes of ``REV:path``; a path is taken from the repository's root, or else from here.

    Raises Refusal with git's own reason.
    """
    revision, _, path = name.partition(":")
    place = Place(name, 1, 1)
    if revision.startswith("-"):
        raise Refusal(f"{revision!r} is no revision", "name a commit, tag or branch", place)
    reason = ""
    for spec in (f"{revision}:{path}", f"{revision}:./{path}"):
        done = git("cat-file", "blob", spec, place=place)
        if done.returncode == 0:
            return done.stdout
        reason = reason or done.stderr.decode("utf-8", "replace").strip().removeprefix("fatal: ")
    reason = reason.splitlines()[0] if reason else "git does not say why"
    raise Refusal(f"git cannot show it ({reason})", "check the revision and the path", place)


class State(StrEnum):
    """What git knows of a file."""

    KEPT = "kept"  # committed as it is
    CHANGED = "changed"  # not committed as it is
    UNKNOWN = "unknown"  # git does not keep it, or there is no repository


def state_of(path: str) -> State:
    """Whether a file that is written over could be had again. Raises Refusal only if git does not answer."""
    place, (folder, name) = Place(path, 1, 1), os.path.split(path)
    try:
        listed = git(
            "--literal-pathspecs", "ls-files", "--error-unmatch", "--", name, place=place, folder=folder
        )
    except Refusal:
        if shutil.which("git"):
            raise
        return State.UNKNOWN  # without git nothing is kept
    if listed.returncode:
        return State.UNKNOWN
    changed = git("--literal-pathspecs", "status", "--porcelain", "--", name, place=place, folder=folder)
    return State.CHANGED if changed.stdout.strip() or changed.returncode else State.KEPT


def git(
    *arguments: str, place: Place, folder: str = "", given: bytes = b""
) -> subprocess.CompletedProcess[bytes]:
    """Run git in a folder. Raises Refusal if there is no git or it does not answer."""
    try:
        return subprocess.run(
            ["git", *arguments],
            capture_output=True,
            check=False,
            timeout=PATIENCE,
            cwd=folder or None,
            input=given,
        )
    except FileNotFoundError:
        raise Refusal("git is not installed", "install it, or give a file", place) from None
    except (subprocess.TimeoutExpired, OSError, ValueError):
        raise Refusal("git does not answer", "try git itself in this folder", place) from None

"""Files as git keeps them: ``REV:path``."""

from __future__ import annotations

import subprocess

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
        done = _git("cat-file", "blob", spec, place=place)
        if done.returncode == 0:
            return done.stdout
        reason = reason or done.stderr.decode("utf-8", "replace").strip().removeprefix("fatal: ")
    reason = reason.splitlines()[0] if reason else "git does not say why"
    raise Refusal(f"git cannot show it ({reason})", "check the revision and the path", place)


def _git(*arguments: str, place: Place) -> subprocess.CompletedProcess[bytes]:
    try:
        return subprocess.run(["git", *arguments], capture_output=True, check=False, timeout=PATIENCE)
    except FileNotFoundError:
        raise Refusal("git is not installed", "install it, or give a file", place) from None
    except (subprocess.TimeoutExpired, OSError, ValueError):
        raise Refusal("git does not answer", "try git itself in this folder", place) from None

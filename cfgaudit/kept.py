"""What one run keeps for the next: parsed files of the box and parser tables, in the user's own folder.

Nothing here is ever needed: without the folder everything is worked out again, which takes a short
run about a fifth longer. The folder is the user's alone, since tables are pickled.
"""

from __future__ import annotations

import json
import os
import stat
import zlib
from functools import cache
from pathlib import Path

ACCEPTED_MOST = 200  # digests of sound texts that are remembered
_ACCEPTED = "accepted.digests"
FORMAT = 1  # one more whenever what is kept changes its shape


@cache
def own_folder() -> Path | None:
    """The user's own folder, made if need be; None where there is none that only they can write to."""
    home = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    try:
        folder = (Path(home) if home else Path.home() / ".cache") / "cfgaudit"
        if not folder.is_absolute():  # it would come to stand wherever somebody works
            return None
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        status = folder.stat()
    except (OSError, RuntimeError):
        return None
    mine = not hasattr(os, "getuid") or status.st_uid == os.getuid()
    closed = os.name == "nt" or not status.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    return folder if mine and closed and os.access(folder, os.W_OK) else None


def kept_name(source: Path, ending: str) -> str:
    """The name under which something made from a file is kept: another installation has another one."""
    return f"{source.stem}-{zlib.crc32(os.fsencode(source)):08x}{ending}"


def recall(source: Path, ending: str) -> object:
    """What was kept of a file as JSON, or None if nothing was or the file has changed since."""
    folder = own_folder()
    if folder is None:
        return None
    try:
        kept = json.loads((folder / kept_name(source, ending)).read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    current = isinstance(kept, dict) and kept.get("of") == _state(source)
    return kept.get("data") if current else None


def keep(source: Path, ending: str, data: object) -> None:
    """Keep what was made of a file, whole or not at all."""
    folder = own_folder()
    if folder is None:
        return
    target = folder / kept_name(source, ending)
    draft = target.with_name(f"{target.name}.{os.getpid()}")
    try:
        draft.write_text(json.dumps({"of": _state(source), "data": data}), "utf-8")
        draft.replace(target)
    except OSError:
        draft.unlink(missing_ok=True)


def was_accepted(digest: str) -> bool:
    """Whether a text with this digest has been found sound before, by the same measure."""
    return digest in _accepted()


def keep_accepted(digest: str) -> None:
    """Keep that a text is sound: its digest alone, nothing of what it says."""
    folder = own_folder()
    if folder is None:
        return
    latest = [*(one for one in _accepted() if one != digest), digest][-ACCEPTED_MOST:]
    target = folder / _ACCEPTED
    draft = target.with_name(f"{target.name}.{os.getpid()}")
    try:
        draft.write_text("\n".join(latest), "ascii")
        draft.replace(target)
    except OSError:
        draft.unlink(missing_ok=True)


def _accepted() -> list[str]:
    folder = own_folder()
    try:
        return (folder / _ACCEPTED).read_text("ascii").split() if folder else []
    except (OSError, ValueError):
        return []


def _state(source: Path) -> list[object]:
    status = source.stat()
    return [FORMAT, status.st_mtime_ns, status.st_size]

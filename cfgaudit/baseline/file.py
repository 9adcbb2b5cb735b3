"""A file written whole or not at all, whatever happens meanwhile."""

from __future__ import annotations

import contextlib
import glob
import os
import tempfile
import time
from pathlib import Path

from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

STALE = 600  # seconds after which a draft that somebody left behind is cleared away
_DRAFT = ".draft"


def write_whole(path: str, text: str) -> None:
    """Write a text to a file: at any moment it holds the old text or the new one, never a part.

    The text goes to a draft beside the file, to the disk, and then takes the file's name. Raises Refusal.
    """
    target = Path(os.path.realpath(path))  # a link stays a link
    require_replaceable(path)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _clear(target)
        handle, draft = tempfile.mkstemp(prefix=f".{target.name}.", suffix=_DRAFT, dir=target.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(draft, _mode(target))
            os.replace(draft, target)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(draft)
            raise
        _settle(target.parent)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the system does not say why"
        raise Refusal(f"cannot be written ({reason})", "name another file", Place(path, 1, 1)) from None


def require_replaceable(path: str) -> None:
    """Raises Refusal for what is there and no file: a device or a pipe would be replaced by one."""
    if os.path.exists(path) and not os.path.isfile(path):
        what = "this is a folder" if os.path.isdir(path) else "this is no file"
        raise Refusal(f"{what}, and cannot be written over", "name a file", Place(path, 1, 1))


def _clear(target: Path) -> None:
    """Drafts of this file that a run left behind when it was killed."""
    for draft in target.parent.glob(f".{glob.escape(target.name)}.*{_DRAFT}"):
        with contextlib.suppress(OSError):
            if time.time() - draft.stat().st_mtime > STALE:
                draft.unlink()


def _mode(target: Path) -> int:
    """The old file's permissions; of a new one what anybody gets here."""
    with contextlib.suppress(OSError):
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _settle(folder: Path) -> None:
    """Have the folder's new entry on the disk as well, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

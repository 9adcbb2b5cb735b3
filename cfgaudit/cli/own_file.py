"""A user's own files: new ones, or a new text for one that is there. Whole, or not at all."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from pathlib import Path

from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal


def refuse_if_there(name: str) -> None:
    """Raises Refusal if something has this name already: a file, a folder, a link to nowhere."""
    if not name or os.path.lexists(name):
        what = "this file is there already" if name else "a file without a name"
        raise Refusal(what, "name a new one", Place(name, 1, 1))


def write_new(name: str, text: str) -> None:
    """Write a file that is not there yet. Raises Refusal if it is, or cannot be written."""
    write_all_new({name: text})


def write_all_new(texts: Mapping[str, str]) -> None:
    """Write files that are not there yet, all of them or none. Raises Refusal."""
    for name in texts:
        refuse_if_there(name)
    made: list[Path] = []
    for name, text in texts.items():
        try:
            with Path(name).open("x", encoding="utf-8", newline="") as file:
                made.append(Path(name))
                file.write(text)
        except BaseException as error:  # whoever stops a run wants no half of it either
            for one in made:
                _away(one)
            if isinstance(error, FileExistsError):
                raise Refusal("this file is there already", "name a new one", Place(name, 1, 1)) from None
            if isinstance(error, OSError | ValueError):
                raise _unwritten(name, error) from None
            raise


def write_again(name: str, text: str) -> str:
    """Give a file a new text, and the name of the copy that keeps it as it was. Raises Refusal."""
    target = Path(os.path.realpath(name))  # a link stays a link
    draft, kept = target.with_name(f"{target.name}.{os.getpid()}.new"), _free(target)
    made: list[Path] = []
    try:
        data = target.read_bytes()
        with draft.open("xb") as file:
            made.append(draft)
            file.write(text.encode())
        draft.chmod(target.stat().st_mode)
        with kept.open("xb") as file:
            made.append(kept)
            file.write(data)
        draft.replace(target)
    except (OSError, ValueError) as error:
        for one in made:
            _away(one)
        raise _unwritten(name, error) from None
    return str(kept) if os.path.islink(name) else str(Path(name).with_name(kept.name))


def _free(target: Path) -> Path:
    """A name for the file as it was, that nothing has."""
    names = (target.with_name(f"{target.name}.before{f'-{n}' if n > 1 else ''}") for n in range(1, 10_000))
    return next(one for one in names if not os.path.lexists(one))


def _away(file: Path) -> None:
    with contextlib.suppress(OSError):  # what cannot be taken away is no second fault
        file.unlink()


def _unwritten(name: str, error: Exception) -> Refusal:
    reason = getattr(error, "strerror", None) or "the system does not say why"
    return Refusal(f"cannot be written ({reason})", "name another file", Place(name, 1, 1))

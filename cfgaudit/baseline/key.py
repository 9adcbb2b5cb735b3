"""The key of the seals: a file of the user's own, outside every repository."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from cfgaudit.dialect.seal import KEY_BYTES, Sealer
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

_BEGIN = "cfgaudit key "


def usual_key_file() -> str:
    """Where the key is kept if nobody says otherwise: in the user's folder for settings; "" without one."""
    told = (os.environ.get("XDG_CONFIG_HOME", ""), os.environ.get("APPDATA", ""), *_at_home(".config"))
    # one that hangs on where somebody works is none
    folder = next(filter(os.path.isabs, told), "")
    return os.path.join(folder, "cfgaudit", "seal.key") if folder else ""


def _at_home(name: str) -> tuple[str, ...]:
    try:
        return (str(Path.home() / name),)
    except RuntimeError:  # nobody knows where this user is at home
        return ()


def sealer_in(path: str, *, make: bool) -> Sealer:
    """The sealer of a key file. Raises Refusal.

    A file that is not there is made with ``make``; else the sealer is one that nobody else ever has, and
    whatever was sealed by others stays unknown. A folder of git is no place for a key: whoever has it can
    try out what a seal stands for. ``path`` is "" where nobody knows of a file.
    """
    if not path:
        if make:
            raise Refusal("nobody knows where your settings are kept", "name a file for the key with --key")
        return Sealer(secrets.token_bytes(KEY_BYTES))
    file = Path(path)
    place = Place(path, 1, 1)
    if above := _repository(file):
        raise Refusal(
            f"the key would lie in the repository {above}", "keep it elsewhere, or name one with --key", place
        )
    try:
        text = file.read_text("ascii")
    except FileNotFoundError:
        return _made(file, place) if make else Sealer(secrets.token_bytes(KEY_BYTES))
    except (OSError, ValueError):
        raise Refusal("the key cannot be read", "name another file with --key", place) from None
    digits = text.strip().removeprefix(_BEGIN)
    try:
        key = bytes.fromhex(digits)
    except ValueError:
        key = b""
    if len(key) != KEY_BYTES or not text.startswith(_BEGIN):
        raise Refusal("this is no key of cfgaudit", "name its file with --key, or a new one", place)
    return Sealer(key)


def _made(file: Path, place: Place) -> Sealer:
    key = secrets.token_bytes(KEY_BYTES)
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as target:
            target.write(f"{_BEGIN}{key.hex()}\n")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the system does not say why"
        raise Refusal(
            f"the key cannot be written ({reason})", "name another file with --key", place
        ) from None
    return Sealer(key)


def _repository(file: Path) -> str:
    """The repository that a file would lie in, itself or by a link; "" if it would lie in none."""
    home = {folder for told in _at_home("") for folder in (Path(told), Path(os.path.realpath(told)))}
    for folder in (*file.absolute().parents, *Path(os.path.realpath(file)).parents):
        if (folder / ".git").exists() and folder not in home:
            return str(folder)
    return ""

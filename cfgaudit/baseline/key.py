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
    """Where the key is kept if nobody says otherwise: in the user's folder for settings."""
    home = os.environ.get("XDG_CONFIG_HOME") or os.environ.get("APPDATA")
    return str((Path(home) if home else Path.home() / ".config") / "cfgaudit" / "seal.key")


def sealer_in(path: str) -> Sealer:
    """The sealer of a key file, which is made if it is not there. Raises Refusal.

    A folder of git is no place for it: whoever has the key can try out what a seal stands for.
    """
    file = Path(path)
    place = Place(path, 1, 1)
    if above := _repository(file):
        raise Refusal(
            f"the key would lie in the repository {above}", "keep it elsewhere, or name one with --key", place
        )
    try:
        text = file.read_text("ascii")
    except FileNotFoundError:
        return _made(file, place)
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
    """The repository that a file would lie in; "" if it would lie in none."""
    for folder in file.absolute().parents:
        if (folder / ".git").exists() and folder != Path.home():
            return str(folder)
    return ""

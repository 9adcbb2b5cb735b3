"""A dump's bytes from disk or from a pipe."""

from __future__ import annotations

import sys

from cfgaudit.dump.text import LARGEST
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal


def read_bytes(path: str) -> bytes:
    """The bytes of a file, or of standard input for ``-``. Raises Refusal if it cannot be read."""
    start = Place(path, 1, 1)
    try:
        if path == "-":
            if sys.stdin is None:  # closed by the shell: <&-
                raise Refusal("standard input is closed", "pipe a dump into it, or name a file", start)
            return sys.stdin.buffer.read(LARGEST + 1)
        with open(path, "rb") as file:
            return file.read(LARGEST + 1)
    except FileNotFoundError:
        raise Refusal("there is no such file", "check the name and the folder", start) from None
    except IsADirectoryError:
        raise Refusal("this is a folder", "name the dump in it", start) from None
    except PermissionError:
        raise Refusal("this file may not be read", "allow reading it", start) from None
    except (OSError, ValueError):
        raise Refusal("this file cannot be read", "check its name", start) from None

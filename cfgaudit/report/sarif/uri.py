"""File names as URIs (RFC 3986, RFC 8089)."""

from __future__ import annotations

import os
import re
from urllib.parse import quote

_DRIVE = re.compile(r"[A-Za-z]:[\\/]")


def uri_of(file: str) -> str:
    """A file's name as a URI: a relative name stays relative, an absolute one begins with ``file:``."""
    drive = _DRIVE.match(file) is not None
    name = file.replace("\\", "/") if drive or os.sep == "\\" else file
    try:
        data = name.encode("utf-8", "surrogateescape")  # a name that is no text has its bytes in surrogates
    except UnicodeEncodeError:
        data = name.encode("utf-8", "surrogatepass")
    if drive:
        return f"file:///{quote(data, safe='/:')}"
    return f"{'file://' if name.startswith('/') else ''}{quote(data)}"

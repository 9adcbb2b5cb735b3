from __future__ import annotations

from typing import Any

import pytest

from cfgaudit.derive.identity import alike, identity
from cfgaudit.derive.missing import Missing


@pytest.mark.parametrize("other", ["REED405", "reed_405", "Reed 405"])
def test_alike(other: str) -> None:
    assert alike("Reed-405", other)


def test_not_alike() -> None:
    assert not alike("Reed-405", "Reed-406")


def version(found: str, allowed: Any) -> object:
    build = {"board": {"firmware": {"name": "plover", "versions": allowed}}}
    return identity({"firmware": {"version": found}}, build, {})["version"]  # type: ignore[dict-item]


@pytest.mark.parametrize(
    ("found", "allowed", "fits"),
    [
        ("4.1.0", ">= 4.1", True),
        ("4.0.9", ">= 4.1", False),
        ("4.10.2", ">= 4.9 < 5", True),
        ("5.0", ">= 4.9 < 5", False),
        ("4.1.2", "== 4.1.2", True),
        ("4.1.3", "== 4.1.2", False),
        ("", "", True),
        ("nightly", "", True),
    ],
)
def test_version(found: str, allowed: str, fits: bool) -> None:
    assert version(found, allowed) is fits


def test_version_that_nobody_can_judge() -> None:
    assert version("", ">= 4.1") == Missing(("model.firmware.version",))
    named = version("nightly", ">= 4.1")
    assert isinstance(named, Missing)
    assert "nightly" in named.reason
    assert isinstance(version("4.1", "at least 4"), Missing)
    assert version("4.1", None) == Missing(("build.board.firmware.versions",))


def test_what_is_missing_is_named() -> None:
    found = identity({}, {"board": {"name": "Reed-405"}}, {})
    assert found["board"] == Missing(("model.firmware.board",))
    assert found["chip"] == Missing(("model.firmware.mcu", "build.board.chip"))
    assert found["dialect_version"] == Missing(("reading.versions",))

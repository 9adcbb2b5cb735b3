"""Whether a dump is of the aircraft it is taken for: section ``identity`` of ``derived``.

::

    board               the dump's board is the build sheet's
    chip                the dump's chip can be the build sheet's
    chip_declared       the line of the sheet's chip ("STM32F405")
    chip_found          the same of the dump's chip
    firmware            the dump's firmware is the build sheet's
    version             its version lies in the range that the build sheet allows
    dialect_version     its version lies in the range that the dialect is made for
    craft               the dump's craft name is the build sheet's
"""

from __future__ import annotations

import re

from cfgaudit.derive.chips import agree, line_of
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, told, word
from cfgaudit.model.version import numbers, versions


def identity(model: Tree, build: Tree, reading: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    found, declared = word(model, "firmware", "mcu"), word(build, "board", "chip")
    version = word(model, "firmware", "version")
    return {
        "board": _same(model, ("firmware", "board"), build, ("board", "name")),
        "chip": _agreeing(found, declared),
        "chip_declared": "".join(line_of(declared)),
        "chip_found": "".join(line_of(found)),
        "firmware": _same(model, ("firmware", "name"), build, ("board", "firmware", "name")),
        "version": _within(
            version, told(build, "board", "firmware", "versions"), "build.board.firmware.versions"
        ),
        "dialect_version": _within(version, reading.get("versions"), "reading.versions"),
        "craft": _same(model, ("identity", "craft_name"), build, ("craft",)),
    }


def alike(one: str, other: str) -> bool:
    """Whether two names are the same but for case, blanks and punctuation."""
    return _plain(one) == _plain(other)


def _plain(name: str) -> str:
    return re.sub(r"[\W_]", "", name.casefold())


def _same(model: Tree, model_path: tuple[str, ...], build: Tree, build_path: tuple[str, ...]) -> Figure:
    found, declared = word(model, *model_path), word(build, *build_path)
    if found and declared:
        return alike(found, declared)
    paths = {"model." + ".".join(model_path): found, "build." + ".".join(build_path): declared}
    return Missing(tuple(path for path, name in paths.items() if not name))


def _agreeing(found: str, declared: str) -> Figure:
    if found and declared:
        return agree(found, declared)
    paths = {"model.firmware.mcu": found, "build.board.chip": declared}
    return Missing(tuple(path for path, name in paths.items() if not name))


def _within(version: str, allowed: object, path: str) -> Figure:
    if not isinstance(allowed, str):
        return Missing((path,))
    span = versions(allowed)
    if span is None:
        return Missing((path,), f"{allowed} is not a range of versions")
    if not span.terms:
        return True
    if not numbers(version):
        reason = f"{version} does not begin with a number" if version else ""
        return Missing(("model.firmware.version",), reason)
    return version in span

"""The load of serial lines with its sums."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.line.framing import bits_a_byte
from cfgaudit.derive.line.section import Load, Screen, loads, screens
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree

_LOAD_RULES = ("serial/line-overfull", "serial/line-nearly-full")
_REDRAW_RULES = ("osd/redraw-slow",)
_TITLE = "what the serial lines carry"
_FRAMING = "ST RM0090 rev 11, section 30.3.1: start, data, parity and stop bits"
_REDRAW = "MSP version 1 frames; the messages of DisplayPort are common practice, from memory"


def table(model: Tree, build: Tree) -> Table:
    """What each device's line must carry, and what it can."""
    if "devices" not in build:
        gap = Missing(("build.devices",))
        return Table("line", _TITLE, (Quantity("", "load", gap, "bytes/s", "", "", _LOAD_RULES),))
    rows = [row for name, load in loads(model, build) for row in _load_rows(name, load)]
    rows += [row for name, screen in screens(model, build) for row in _screen_rows(name, screen)]
    return Table("line", _TITLE, tuple(rows))


def _load_rows(name: str, load: Load | Missing) -> Iterator[Quantity]:
    if isinstance(load, Missing):
        yield Quantity(name, "load", load, "bytes/s", "", "", _LOAD_RULES)
        return
    bits, frame = bits_a_byte(load.framing), load.longest.frame
    for stream in load.streams:
        yield Quantity(
            name,
            stream.frame.name,
            stream.bytes_s,
            "bytes/s",
            f"{stream.sum} = {figure(stream.bytes_s)}, {stream.way}",
            stream.frame.source,
            _LOAD_RULES,
        )
    yield Quantity(
        name,
        f"share of {load.port}",
        load.share_percent,
        "%",
        f"{figure(load.bytes_s)} ÷ ({load.baud:,} baud ÷ {bits} bits, {load.framing})"
        f" ≈ {figure(load.share_percent)} %",
        _FRAMING,
        _LOAD_RULES,
    )
    yield Quantity(
        name,
        "frame on the line",
        load.frame_us,
        "µs",
        f"{frame.bytes} bytes × {bits} bits / {load.baud:,} baud ≈ {figure(load.frame_us)} µs",
        frame.source,
        _LOAD_RULES,
    )
    slowest = min(load.streams, key=lambda stream: stream.per_s)
    yield Quantity(
        name,
        "longest wait for a new value",
        load.wait_us / 1000,
        "ms",
        f"1 / {figure(slowest.per_s)} a second, and the frame itself ≈ {figure(load.wait_us / 1000)} ms",
        "",
        _LOAD_RULES,
    )


def _screen_rows(name: str, screen: Screen | Missing) -> Iterator[Quantity]:
    if isinstance(screen, Missing):
        yield Quantity(name, "full redraw", screen, "ms", "", _REDRAW, _REDRAW_RULES)
        return
    whole, shown = screen.whole, screen.shown
    yield Quantity(
        name,
        "cells of the canvas",
        screen.canvas.cells,
        "",
        f"{screen.canvas.columns} × {screen.canvas.rows} = {screen.canvas.cells:,}",
        "",
        _REDRAW_RULES,
    )
    for what, redraw in (("full redraw", whole), ("redraw of what is shown", shown)):
        ms = screen.ms(redraw)
        yield Quantity(
            name,
            what,
            ms,
            "ms",
            f"({sum(redraw.strings):,} characters + {redraw.around_bytes:,} around them) × 10 bits / "
            f"{screen.baud:,} baud ≈ {figure(ms)} ms",
            _REDRAW,
            _REDRAW_RULES,
        )
    yield Quantity(
        name,
        "full redraws a second, at most",
        1000 / screen.ms(whole),
        "",
        f"1,000 ms ÷ {figure(screen.ms(whole))} ms",
        _REDRAW,
        _REDRAW_RULES,
    )

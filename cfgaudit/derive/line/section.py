"""Figures about the load of serial lines: section ``line`` of what rules see as ``derived``.

::

    device.NAME         every device of the build sheet whose job is on a line:
      port              where it is soldered
      baud              the rate of its port, for its job
      bytes_s           what it sends or is sent, bytes a second
      capacity_bytes_s  what the line carries at most, one way
      share_percent     the one of the other
      frame_us          how long its longest frame is on the line
      wait_us           the longest that a new value waits: one interval and one frame
      items             the sum, item by item: "26 bytes × 250 a second"
    redraw.NAME         every device that is drawn to over DisplayPort:
      size              the canvas
      cells             its characters
      bytes             of a full redraw
      ms                how long it takes on the line
      per_s             full redraws a second at most
      typical_ms        the shown elements alone
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.derive.canvas import Canvas
from cfgaudit.derive.line.frames import PLAIN
from cfgaudit.derive.line.framing import capacity_bytes, frame_us
from cfgaudit.derive.line.redraw import Redraw, full, typical
from cfgaudit.derive.line.streams import Stream, framing_of, streams_of
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.osd import drawn
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, whole, word, words
from cfgaudit.derive.wiring import rate_of


class Load(Struct, frozen=True):
    """What one device's line carries."""

    name: str
    port: str
    job: str
    baud: int
    framing: str
    streams: tuple[Stream, ...]

    @property
    def bytes_s(self) -> float:
        """Bytes a second, all streams together (they all go one way)."""
        return sum(stream.bytes_s for stream in self.streams)

    @property
    def capacity_bytes_s(self) -> float:
        """What the line carries at most, one way."""
        return capacity_bytes(self.baud, self.framing)

    @property
    def share_percent(self) -> float:
        """The load as a share of the capacity."""
        return 100 * self.bytes_s / self.capacity_bytes_s

    @property
    def longest(self) -> Stream:
        """The stream with the longest frame."""
        return max(self.streams, key=lambda stream: stream.frame.bytes)

    @property
    def frame_us(self) -> float:
        """How long the longest frame is on the line."""
        return frame_us(self.longest.frame.bytes, self.baud, self.framing)

    @property
    def wait_us(self) -> float:
        """The longest that a new value waits before it has arrived: an interval, and its frame."""
        slowest = min(self.streams, key=lambda stream: stream.per_s)
        return 1_000_000 / slowest.per_s + frame_us(slowest.frame.bytes, self.baud, self.framing)

    @property
    def items(self) -> tuple[str, ...]:
        """The sum, item by item."""
        return tuple(f"{stream.frame.name} {stream.sum}" for stream in self.streams)


class Screen(Struct, frozen=True):
    """What drawing to one device takes."""

    name: str
    baud: int
    canvas: Canvas
    whole: Redraw
    shown: Redraw

    def ms(self, redraw: Redraw) -> float:
        """How long a redraw is on the line, in ms."""
        return frame_us(redraw.bytes, self.baud, PLAIN) / 1000


def line(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    if "devices" not in build:
        return dict.fromkeys(("device", "redraw"), Missing(("build.devices",)))
    return {
        "device": {name: _load_figures(load) for name, load in loads(model, build)},
        "redraw": {name: _screen_figures(screen) for name, screen in screens(model, build)},
    }


def loads(model: Tree, build: Tree) -> Iterator[tuple[str, Load | Missing]]:
    """The load of every device that is known to send something over a port, in the sheet's order."""
    for index, device in entries(build, "devices"):
        told_streams = tuple(streams_of(index, device, model, build))
        port, job = word(device, "port"), word(device, "job")
        if not port or not told_streams:
            continue
        name = word(device, "name")
        baud = _baud(model, port, job)
        missing = next((one for one in (baud, *told_streams) if isinstance(one, Missing)), None)
        if missing or isinstance(baud, Missing):
            yield name, missing or Missing(("model.ports",))
        else:
            streams = tuple(one for one in told_streams if isinstance(one, Stream))
            yield name, Load(name, port, job, baud, framing_of(job, device, model), streams)


def screens(model: Tree, build: Tree) -> Iterator[tuple[str, Screen | Missing]]:
    """What drawing to every DisplayPort device takes: the canvas set if it draws that, else its first."""
    for index, device in entries(build, "devices"):
        port, name = word(device, "port"), word(device, "name")
        if word(device, "job") != "displayport" or not port:
            continue
        baud = _baud(model, port, "displayport")
        grid = drawn(model, words(device, "canvas"))
        if isinstance(baud, Missing):
            yield name, baud
        elif grid is None:
            yield name, Missing((f"build.devices.{index}.canvas",))
        else:
            yield name, Screen(name, baud, grid, full(grid), typical(tuple(_shown(model))))


def _shown(model: Tree) -> Iterator[int]:
    for _, element in branches(model, "osd", "elements"):
        width = whole(element, "width")
        if told(element, "shown") is True and width:
            yield width


def _baud(model: Tree, port: str, job: str) -> int | Missing:
    path, baud = rate_of(branch(model, "ports", port), job)
    if baud is not None and baud > 0:
        return baud
    reason = "" if baud is None else f"nothing comes over {port} at {baud} baud"
    return Missing((".".join(("model.ports", port, *path)),), reason)


def _load_figures(load: Load | Missing) -> Figure:
    if isinstance(load, Missing):
        return dict.fromkeys(("bytes_s", "capacity_bytes_s", "share_percent", "frame_us", "wait_us"), load)
    return {
        "port": load.port,
        "baud": load.baud,
        "bytes_s": round(load.bytes_s, 1),
        "capacity_bytes_s": round(load.capacity_bytes_s, 1),
        "share_percent": round(load.share_percent, 1),
        "frame_us": round(load.frame_us, 1),
        "wait_us": round(load.wait_us, 1),
        "items": [*load.items],
    }


def _screen_figures(screen: Screen | Missing) -> Figure:
    if isinstance(screen, Missing):
        return dict.fromkeys(("cells", "bytes", "ms", "per_s", "typical_ms"), screen)
    ms = screen.ms(screen.whole)
    return {
        "size": str(screen.canvas),
        "baud": screen.baud,
        "cells": screen.canvas.cells,
        "bytes": screen.whole.bytes,
        "ms": round(ms, 1),
        "per_s": round(1000 / ms, 1),
        "typical_ms": round(screen.ms(screen.shown), 1),
    }

"""Streams: what each declared device puts on its line, frame by frame.

A device's own ``frame_bytes`` and ``update_hz`` go before what its kind is known to send. What the
build sheet does not tell is Missing, by the path where it would be written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from cfgaudit.derive.inputs import above_zero
from cfgaudit.derive.line.frames import ESC, MAVLINK, NMEA, PLAIN, RECEIVER, UBX, Frame
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import figure
from cfgaudit.derive.tree import Tree, branch, branches, whole, word, words

INWARD, OUTWARD = "to the board", "from the board"
_DECLARED = "the build sheet"


class Stream(Struct, frozen=True):
    """Frames of one kind, so many a second, one way; ``senders`` take turns with theirs."""

    frame: Frame
    per_s: float  # of each sender
    way: str  # INWARD or OUTWARD
    senders: int = 1

    @property
    def bytes_s(self) -> float:
        """Bytes a second."""
        return self.frame.bytes * self.per_s * self.senders

    @property
    def sum(self) -> str:
        """The same as a sum."""
        senders = f"{self.senders} motors × " if self.senders > 1 else ""
        return f"{self.frame.bytes} bytes × {senders}{figure(self.per_s)} a second"


def streams_of(index: int, device: Tree, model: Tree, build: Tree) -> Iterator[Stream | Missing]:
    """What a device of the build sheet sends or is sent; nothing for a job whose load nobody can tell."""
    job = word(device, "job")
    at = f"build.devices.{index}"
    own = whole(device, "frame_bytes")
    if own is not None:
        frame = Frame(f"{word(device, 'name')} frame", own, _DECLARED, word(device, "framing") or PLAIN)
        way = OUTWARD if job in ("telemetry", "flight-log", "mavlink") else INWARD
        yield _stream(frame, device, ("packets_hz", "update_hz"), at, way)
    elif job == "receiver":
        yield from _receiver(device, at)
    elif job == "gnss":
        yield from _gnss(device, at)
    elif job == "mavlink":
        yield from _mavlink(device, at)
    elif job == "esc-telemetry":
        yield from _reports(device, build, at)
    elif job == "flight-log":
        yield _log(device, model, at)


def _receiver(device: Tree, at: str) -> Iterator[Stream | Missing]:
    link = (words(device, "speaks") or ("",))[0].lower()
    if not link:
        yield Missing((f"{at}.speaks",))
    elif link not in RECEIVER:
        yield Missing((f"{at}.frame_bytes",))
    else:
        yield _stream(RECEIVER[link], device, ("packets_hz",), at, INWARD)


def _gnss(device: Tree, at: str) -> Iterator[Stream | Missing]:
    messages = words(device, "messages")
    speaks = word(device, "speaks").lower()
    if speaks not in ("ubx", "nmea"):
        yield Missing((f"{at}.speaks",), f"what {speaks} sends is not known here" if speaks else "")
        return
    if not messages:
        yield Missing((f"{at}.messages",))
    for name in messages:
        frame = UBX.get(name.upper()) if speaks == "ubx" else NMEA
        if frame is None:
            known = ", ".join(UBX)
            yield Missing((f"{at}.messages",), f"the size of {name} is not known here, only {known}")
        else:
            yield _stream(frame, device, ("update_hz",), at, INWARD)


def _mavlink(device: Tree, at: str) -> Iterator[Stream | Missing]:
    messages = branch(device, "messages")
    if not messages:
        yield Missing((f"{at}.messages",))
    for name in messages:
        frame = MAVLINK.get(name.upper())
        often = above_zero(messages, f"{at}.messages", name)
        if frame is None or isinstance(often, Missing):
            yield Missing((f"{at}.messages",), "" if frame else f"the size of {name} is not known here")
        else:
            yield Stream(frame, often, OUTWARD)


def _reports(device: Tree, build: Tree, at: str) -> Iterator[Stream | Missing]:
    motors = len(dict(branches(build, "motors", "places")))
    each = _stream(ESC, device, ("update_hz",), at, INWARD)
    if isinstance(each, Missing) or motors:
        yield each if isinstance(each, Missing) else Stream(ESC, each.per_s, INWARD, motors)
    else:
        yield Missing(("build.motors.places",))


def _log(device: Tree, model: Tree, at: str) -> Stream | Missing:
    size, rate = whole(device, "record_bytes"), above_zero(model, "model", "logging", "rate_hz")
    if size is None:
        return Missing((f"{at}.record_bytes",))
    if isinstance(rate, Missing):
        return rate
    return Stream(Frame("log record", size, _DECLARED), rate, OUTWARD)


def _stream(frame: Frame, device: Tree, keys: tuple[str, ...], at: str, way: str) -> Stream | Missing:
    for key in keys:
        per_s = above_zero(device, at, key)
        if not isinstance(per_s, Missing):
            return Stream(frame, per_s, way)
    return Missing((f"{at}.{keys[0]}",))


def framing_of(job: str, device: Mapping[str, object], model: Tree) -> str:
    """The framing of a device's line: that of what it speaks, of the receiver's link where it is one."""
    own = device.get("framing")
    if isinstance(own, str):
        return own
    if job == "receiver":
        speaks = device.get("speaks")
        link = speaks if isinstance(speaks, str) else word(model, "receiver", "link")
        return RECEIVER[link.lower()].format if link.lower() in RECEIVER else PLAIN
    return PLAIN

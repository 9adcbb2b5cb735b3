"""Devices in a draft: one for each job of a port, and those that other settings speak of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.derive.alignment.rotation import Angles, angles_of, composed
from cfgaudit.derive.alignment.section import KEYS, set_angles
from cfgaudit.derive.jobs import beside, clashing, is_door
from cfgaudit.derive.sheet.entry import Entry, blank, remark
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import branch, branches, whole, word, words
from cfgaudit.derive.tree import told as told_at
from cfgaudit.derive.wiring import rate_of
from cfgaudit.dialect.codec.port import UNMAPPED, is_unmapped
from cfgaudit.model import spelling
from cfgaudit.model.devices import KINDS
from cfgaudit.model.path import Path
from cfgaudit.model.placed import Trail
from cfgaudit.model.value import Json

# Job → the kind of device that does it; a job that no kind has by itself is done by some other device.
_KIND_OF: Mapping[str, str] = {job: kind for kind, job in KINDS.items() if job}
_OTHER = "other"


class Blank(Struct, frozen=True):
    """A key that no dump tells of these kinds of device; of all but some if none is named."""

    key: str
    why: str
    kinds: tuple[str, ...] = ()
    but: tuple[str, ...] = ("barometer", "magnetometer")  # mostly parts of the board

    def of(self, kind: str) -> bool:
        """Whether a device of this kind has it."""
        return kind in self.kinds if self.kinds else kind not in self.but


_FED_ELSEWHERE = ("barometer", "magnetometer", "esc telemetry")
_BLANKS = (
    Blank("packets_hz", "the packet rate that the radio is set to", ("receiver",)),
    Blank("messages", "what it reports each time: its manual or its own set-up program", ("gnss",)),
    Blank(
        "update_hz",
        "how often it reports: its manual",
        ("gnss", "rangefinder", "telemetry radio", "esc telemetry"),
    ),
    Blank("frame_bytes", "the size of its frames: its manual", ("rangefinder", "telemetry radio")),
    Blank("record_bytes", "the size of a record: the firmware's manual", ("flight log",)),
    Blank("canvas", "the sizes that the unit can draw: its manual", ("digital video",)),
    Blank("standard", "the camera's standard: its label or manual", ("analogue camera",)),
    Blank(
        "supply_v",
        "printed on its label: the lowest and the highest volts that it stands",
        but=_FED_ELSEWHERE,
    ),
    Blank("draws_a", "its label or manual: the most that it draws", but=_FED_ELSEWHERE),
    Blank("wires", "follow each wire: the board's pad, then what the device has there"),
)


def devices(told: Told) -> Entry:
    """The block of the devices."""
    look = (
        "is each of these really there, and soldered to that port? What is soldered and not here belongs "
        "here too. A rate is that of the line in the dump: can the device be set to it?"
    )
    lines = tuple(_devices(told))
    if not any(one.item for one in lines):
        why = "the dump tells of no device: what is soldered to the board?"
        some: Json = {"port": "UART1", "speaks": "crsf"}
        lines = (*lines, Entry("receiver", some, look=why, told=False, item=True))
    return Entry("devices", inner=lines, look=look)


def _devices(told: Told) -> Iterator[Entry]:
    for id in branch(told.model, "ports"):
        yield from _of_port(id, told)
    yield from _of_the_screen(told)
    yield from _of_sensors(told)
    yield from _of_outputs(told)
    buzzer = word(told.model, "pins", "beeper")
    if buzzer not in ("", "none"):
        taken = told.lines(("pins", "beeper"))
        yield Entry(
            "buzzer",
            None,
            taken=taken,
            look="the chip has a pin for one: is one soldered?",
            told=False,
            item=True,
        )


# ------------------------------------------------------------------------------------ by their port


def _of_port(id: str, told: Told) -> Iterator[Entry]:
    """One device for each job, except what another one does over its line beside its own."""
    jobs = words(told.model, "ports", id, "functions")
    own = [job for job in jobs if not is_door(job, id) and not _goes_along(job, jobs)]
    along = [job for job in jobs if job not in own and not is_door(job, id)]
    taken = told.lines(("ports", id, "functions"))
    if "console-link" in jobs and id != "USB":
        yield remark(f"{id} lets the configuration program in: nothing needs to be soldered for that", taken)
    clash = clashing(own)
    for n, job in enumerate(own):
        yield _device(id, job, tuple(along) if n == 0 else (), clash, told)


def _goes_along(job: str, jobs: Sequence[str]) -> bool:
    """Whether a device with another job of the port does this one too; of two that do, the first is first."""
    others = [other for other in jobs if other != job and job in beside(other)]
    return any(other not in beside(job) or jobs.index(other) < jobs.index(job) for other in others)


def _kind(job: str, told: Told) -> str:
    """The kind of device for a job. A digital unit may be steered by the job of an analogue sender."""
    kind = _KIND_OF.get(job, _OTHER)
    digital = word(told.model, "osd", "drive") == "displayport"
    return _OTHER if kind == "analogue video" and digital else kind


def _device(id: str, job: str, along: Sequence[str], clash: Sequence[str], told: Told) -> Entry:
    """The device for a job of a port; ``clash``: jobs there that cannot share its line."""
    kind = _kind(job, told)
    at = ("ports", id, "functions")
    inner: list[Entry] = []
    if KINDS[kind] != job:
        inner.append(Entry("job", job, taken=told.lines(at), look="what is it? Give it its kind or a name"))
    inner.append(_port(id, _trail(kind, "port"), clash if job in clash else (), told))
    inner += [*_speaks(job, told), *_line(id, job, told)]
    if job == "gnss":
        inner += _update(told)
    if job == "displayport":
        inner += _canvas(told)
    if along:
        text = f"the dump has it carry {' and '.join(along)} too, which such a device does over the same line"
        inner.append(remark(f"{text}; is it another device, it needs an entry of its own", told.lines(at)))
    return _whole(kind, inner, id)


def _port(id: str, trail: Trail, clash: Sequence[str], told: Told) -> Entry:
    """Where a device is soldered, as far as the dump can be believed there."""
    taken = told.lines(("ports", id, "functions"))
    if is_unmapped(id):
        why = f"which of the chip's ports is the firmware's port {id.removeprefix(UNMAPPED)}? See board.ports"
        return blank(trail, why, "UART1", taken)
    if clash:
        why = (
            f"the dump has {' and '.join(clash)} on {id}, which cannot share a line: what is soldered there?"
        )
        return blank(trail, why, id, taken)
    return Entry("port", id, taken=taken)


def _whole(kind: str, inner: Sequence[Entry], port: str = "") -> Entry:
    """A device with what is told of it, and the lines that no dump tells."""
    known = {one.key for one in inner}
    open_ones = (
        blank(_trail(kind, one.key), one.why, _wires(port) if one.key == "wires" else None)
        for one in _BLANKS
        if one.key not in known and one.of(kind)
    )
    return Entry(kind, inner=(*inner, *open_ones), item=True)


def _trail(kind: str, key: str) -> Trail:
    return ("devices", 0, kind, key)


def _wires(port: str) -> Json:
    """An example of wires, with pads as they are mostly named by the port's number."""
    number = "".join(sign for sign in port if sign.isdecimal())
    pads: dict[str, Json] = {f"T{number}": "RX", f"R{number}": "TX"} if number else {}
    return {**pads, "5V": "supply", "GND": "ground"}


def _speaks(job: str, told: Told) -> Iterator[Entry]:
    at = {"receiver": ("receiver", "link"), "gnss": ("gnss", "protocol")}.get(job)
    if at and word(told.model, *at) not in ("", "none"):
        look = "what the device really speaks: its label, manual or settings"
        yield Entry("speaks", word(told.model, *at), taken=told.lines(at), look=look)


def _line(id: str, job: str, told: Told) -> Iterator[Entry]:
    """Rate, polarity and wires of the line, as the dump has them."""
    port = branch(told.model, "ports", id)
    rate_path, rate = rate_of(port, job)
    if rate:
        yield Entry("rate_baud", rate, taken=told.lines(("ports", id, *rate_path)))
    for key, value, written in (("inverted", True, "yes"), ("duplex", "half", "half")):
        places: list[Path] = [("ports", id, key), *([("receiver", key)] if job == "receiver" else [])]
        said = [place for place in places if told_at(told.model, *place) == value]
        if said:
            yield Entry(key, written, taken=told.lines(*said))


def _update(told: Told) -> Iterator[Entry]:
    at = ("gnss", "update_hz")
    rate = told_at(told.model, *at)
    if rate:
        yield Entry("update_hz", rate, taken=told.lines(at))


def _canvas(told: Told) -> Iterator[Entry]:
    columns, rows = whole(told.model, "osd", "columns"), whole(told.model, "osd", "rows")
    if columns and rows and word(told.model, "osd", "drive") == "displayport":
        taken = told.lines(("osd", "columns"), ("osd", "rows"))
        look = "all the sizes that the unit can draw: its manual; the dump has one in use"
        yield Entry("canvas", [f"{columns}x{rows}"], taken=taken, look=look)


# ------------------------------------------------------------------------------ by other settings


def _of_the_screen(told: Told) -> Iterator[Entry]:
    """What the OSD is drawn by or on, where no port has told it."""
    drive, taken = word(told.model, "osd", "drive"), told.lines(("osd", "drive"))
    if drive == "chip":
        standard = word(told.model, "osd", "standard")
        look = "the OSD is drawn by the board's chip over an analogue picture: which camera makes it?"
        inner = [remark(look, taken)]
        if standard in ("pal", "ntsc"):
            inner.append(Entry("standard", standard, taken=told.lines(("osd", "standard"))))
        yield _whole("analogue camera", inner)
        if not _carried("vtx-control", told):
            why = "an analogue picture needs a sender: is it steered by no line of the board?"
            yield Entry(
                "analogue video",
                inner=(blank(_trail("analogue video", "job"), why, "none"),),
                told=False,
                item=True,
            )
    if drive == "displayport" and not _carried("displayport", told):
        look = "the OSD is drawn over DisplayPort, but no port carries it: where is the unit soldered?"
        inner = [
            remark(look, taken),
            blank(_trail("digital video", "port"), "the port that it is soldered to"),
        ]
        yield _whole("digital video", [*inner, *_canvas(told)])


def _carried(job: str, told: Told) -> bool:
    return any(job in words(port, "functions") for _, port in branches(told.model, "ports"))


def _of_sensors(told: Told) -> Iterator[Entry]:
    if told_at(told.model, "sensors", "magnetometer") is True:
        taken = told.lines(("sensors", "magnetometer"))
        inner = [remark("the dump uses one: on the board, or on a mast with wires of its own?", taken)]
        board, sensor = set_angles(told.model), set_angles(told.model, "magnetometer_alignment")
        if isinstance(board, Angles) and isinstance(sensor, Angles):
            both = angles_of(composed(board.matrix, sensor.matrix))
            mounted: Json = {key: spelling.whole(round(getattr(both, key), 2) + 0.0) for key in KEYS}
            lines = told.lines(*(("sensors", "magnetometer_alignment", key) for key in KEYS))
            look = "how its arrow points on the frame: by the dump's angles of board and sensor together"
            inner.append(Entry("mounted", mounted, taken=lines, look=look))
        yield _whole("magnetometer", inner)
    if told_at(told.model, "sensors", "barometer") is True:
        yield Entry("barometer", None, taken=told.lines(("sensors", "barometer")), item=True)


def _of_outputs(told: Told) -> Iterator[Entry]:
    """Outputs that drive no motor: a light strip, a servo, a camera's trigger."""
    for id, output in branches(told.model, "outputs"):
        use, pin = word(output, "use"), word(output, "pin")
        if use in ("", "none") or pin in ("", "none") or whole(output, "motor"):
            continue
        taken = told.lines(("outputs", id, "use"))
        named = use.replace("-", " ").replace("_", " ")
        if named in KINDS:
            yield _whole(named, [remark(f"an output drives one on {pin}: is one soldered there?", taken)])
        else:
            yield _whole(_OTHER, [Entry("name", named, taken=taken, look=f"what the output on {pin} drives")])

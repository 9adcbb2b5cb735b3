"""ESCs and motors in a draft: protocol, pads and pins, and the frame that the mixer is made for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.mixer.fit import Fit, fit
from cfgaudit.derive.mixer.frame import ANGLES, Row, sign
from cfgaudit.derive.mixer.section import set_rows
from cfgaudit.derive.sheet.entry import Entry, blank
from cfgaudit.derive.sheet.fact import Fact, Part, entries, listed, only, switch
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import branches, whole, word
from cfgaudit.model import spelling
from cfgaudit.model.value import Json

_SPINS = {
    -1: "clockwise",
    1: "counter-clockwise",
}  # by the sign of yaw: a rotor turns the craft against itself


class Motor(Struct, frozen=True):
    """One motor of the dump: the output that drives it, or "", and its pin; "" or none if it has none."""

    number: int
    output: str
    pin: str

    @property
    def pad(self) -> str:
        """The pad that it is likely to hang on. Its name is the trade's habit and in no dump."""
        return f"M{self.number}"


def motors_of(told: Told) -> tuple[Motor, ...]:
    """The motors that an output drives or the mixer has a row for, by their numbers."""
    found: dict[int, Motor] = {}
    for id, output in branches(told.model, "outputs"):
        number = whole(output, "motor")
        if number:
            found.setdefault(number, Motor(number, id, word(output, "pin")))
    for name, _ in branches(told.model, "mixer"):
        if name.isdecimal():
            found.setdefault(int(name), Motor(int(name), "", ""))
    return tuple(found[number] for number in sorted(found))


def pads(told: Told) -> Entry:
    """The board's motor pads, named as pads mostly are."""
    known = [one for one in motors_of(told) if one.pin not in ("", "none")]
    if not known:
        return blank(("board", "motor_pads"), "the motor pads and their pins: the board maker's drawing")
    lines = (Entry(one.pad, one.pin, taken=told.lines(*told.below("outputs", one.output))) for one in known)
    return Entry(
        "motor_pads",
        inner=tuple(lines),
        look="the names printed beside the pads (the dump knows pins alone: M1 and so on are guessed), and "
        "which pin each pad leads to, by the board maker's drawing",
    )


def esc(told: Told) -> Entry:
    """The block of the motor controllers."""
    return Entry("esc", inner=entries(_ESC, told, ("esc",)))


def motors(told: Told) -> Entry:
    """The block of the motors."""
    return Entry("motors", inner=(_layout(told), *entries(_MOTORS, told, ("motors",)), _places(told)))


def _frame(told: Told) -> Fit | None:
    """What frame the mixer is made for; if the dump names one that is known here, by that one alone."""
    rows, named = set_rows(told.model), word(told.model, "motors", "layout")
    return None if isinstance(rows, Missing) else fit(rows, named)


def _layout(told: Told) -> Entry:
    frame, named = _frame(told), word(told.model, "motors", "layout")
    look = "how the arms stand, seen from above with the nose ahead"
    if named:
        doubt = "" if frame or named not in ANGLES else ". The dump's mixer is made for another frame"
        return Entry("layout", named, taken=told.lines(("motors", "layout")), look=look + doubt)
    if frame:
        taken = told.lines(*told.below("mixer"))
        return Entry(
            "layout", frame.layout, taken=taken[:1], look=f"{look}; this is what the mixer is made for"
        )
    return blank(("motors", "layout"), look)


def _places(told: Told) -> Entry:
    every = motors_of(told)
    if not every:
        return blank(
            ("motors", "places"), "each motor by its number: where it is bolted, on which pad, its spin"
        )
    look = (
        "seen from above, nose ahead, propellers off: where is each motor bolted, to which pad is its ESC "
        "soldered, which way does it turn? Follow each wire. Places and spins are those of the mixer"
    )
    if (frame := _frame(told)) and len({*frame.places.values()}) < len(frame.places):
        look += "; of two motors at one place write top or bottom before it"
    return Entry("places", inner=tuple(_place(one, told) for one in every), look=look)


def _place(motor: Motor, told: Told) -> Entry:
    number = str(motor.number)
    rows, frame = set_rows(told.model), _frame(told)
    row = None if isinstance(rows, Missing) else rows.get(number)
    says: dict[str, Json] = dict(_says(motor, row, frame))
    taken = told.lines(
        *(told.below("outputs", motor.output) if motor.output else ()), *told.below("mixer", number)
    )
    if says:
        return Entry(number, says, taken=taken)
    return blank(("motors", "places", number), "the dump tells neither its place nor its pad", taken=taken)


def _says(motor: Motor, row: Row | None, frame: Fit | None) -> Iterator[tuple[str, Json]]:
    if frame and str(motor.number) in frame.places:
        yield "at", frame.places[str(motor.number)]
    if motor.pin not in ("", "none"):
        yield "pad", motor.pad
    if row and sign(row.yaw):
        yield "spin", _SPINS[sign(row.yaw)]


def _protocol(values: Sequence[Json]) -> Json:
    """A protocol as a list of one, if the sheet has the dump's own word for it."""
    value = only(values)
    return listed(values) if spelling.protocol(value) == value else None


_ESC: tuple[Part, ...] = (
    Fact(
        "protocols",
        "all the protocols that the ESC's maker names; the dump has one in use",
        ("motors.protocol",),
        _protocol,
    ),
    Fact(
        "bidirectional",
        "whether the ESC can answer with the motor's speed; the dump only says whether it is asked to",
        ("motors.bidirectional",),
        switch,
    ),
    Fact("amps", "printed on the ESC: what it stands continuously, each motor"),
    Fact("cells", "printed on the ESC: the fewest and the most cells that it stands"),
    Fact("erpm_max", "the ESC maker's data: the highest electrical speed that it follows"),
)
_MOTORS: tuple[Part, ...] = (
    Fact("kv", "printed on the motor: turns a minute for each volt"),
    Fact("magnets", "count the magnets in one motor's bell", ("motors.poles",)),
    Fact("peak_a", "the motor maker's data, with your propeller and pack: what one motor draws at most"),
    Fact(
        "reversible",
        "whether you mean the motors to run both ways in flight",
        ("motors.reversible",),
        switch,
    ),
)

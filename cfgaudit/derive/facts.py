"""Everything that can be figured out from a model and a build sheet, as one tree for the rules.

Each section is a module of its own whose docstring lists its figures, and is made only if wanted.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from functools import partial

from cfgaudit.derive.alignment.section import alignment
from cfgaudit.derive.battery import battery
from cfgaudit.derive.file import file
from cfgaudit.derive.identity import identity
from cfgaudit.derive.joints import joints
from cfgaudit.derive.line.section import line
from cfgaudit.derive.log.section import log
from cfgaudit.derive.mcu.section import mcu
from cfgaudit.derive.meter import meter
from cfgaudit.derive.missing import Section
from cfgaudit.derive.mixer.section import mixer
from cfgaudit.derive.modes import modes
from cfgaudit.derive.motors import motors
from cfgaudit.derive.osd import osd
from cfgaudit.derive.power.section import power
from cfgaudit.derive.receiver import receiver
from cfgaudit.derive.rotor.section import rotor
from cfgaudit.derive.sense import sense
from cfgaudit.derive.serial import serial
from cfgaudit.derive.sight import sight
from cfgaudit.derive.signal import signal
from cfgaudit.derive.tree import Tree, word
from cfgaudit.derive.uart.section import uart
from cfgaudit.derive.video.section import video
from cfgaudit.derive.wires import wires


def facts(
    model: Tree, build: Tree, wanted: Container[str], reading: Tree | None = None
) -> dict[str, Section]:
    """The wanted sections by name.

    ``model`` and ``build`` are the plain trees, the build sheet's normalised; ``reading`` says how
    the dump was read (``extent``: full, changed or unknown; ``versions``: those the dialect is made
    for; ``unknown``: lines without a meaning). Without it, what depends on it is Missing.
    """
    known = reading or {}
    extent = word(known, "extent")
    sections: Mapping[str, Callable[[], Section]] = {
        "alignment": partial(alignment, model, build),
        "battery": partial(battery, model, build),
        "file": partial(file, known),
        "identity": partial(identity, model, build, known),
        "joints": partial(joints, model, build),
        "line": partial(line, model, build),
        "log": partial(log, model, build),
        "mcu": partial(mcu, model, build),
        "meter": partial(meter, model, build),
        "mixer": partial(mixer, model, build),
        "modes": partial(modes, model, build, complete=extent == "full"),
        "motors": partial(motors, model, build, partial=extent == "changed"),
        "osd": partial(osd, model, build),
        "power": partial(power, build),
        "receiver": partial(receiver, model, build),
        "rotor": partial(rotor, model, build),
        "sense": partial(sense, model, build),
        "serial": partial(serial, model, build),
        "sight": partial(sight, model, build),
        "signal": partial(signal, model, build),
        "uart": partial(uart, model, build),
        "video": partial(video, build),
        "wires": partial(wires, model, build),
    }
    return {name: section() for name, section in sections.items() if name in wanted}

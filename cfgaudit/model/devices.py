"""The kinds of device a build sheet can declare, and the job each needs on its serial port."""

from __future__ import annotations

from collections.abc import Mapping

JOBS: tuple[str, ...] = (
    "console-link",
    "receiver",
    "telemetry",
    "msp",
    "displayport",
    "gnss",
    "esc-telemetry",
    "vtx-control",
    "flight-log",
    "mavlink",
    "rangefinder",
    "camera-control",
)

# Kind → the job of the port it is wired to; "" for what needs none. A sheet's ``job:`` says otherwise.
KINDS: Mapping[str, str] = {
    "receiver": "receiver",
    "telemetry radio": "telemetry",
    "digital video": "displayport",
    "analogue camera": "",
    "analogue video": "vtx-control",
    "gnss": "gnss",
    "esc telemetry": "esc-telemetry",
    "flight log": "flight-log",
    "companion": "mavlink",
    "rangefinder": "rangefinder",
    "camera control": "camera-control",
    "magnetometer": "",
    "barometer": "",
    "led strip": "",
    "buzzer": "",
    "other": "",
}

ALSO_CALLED: Mapping[str, str] = {
    "analog camera": "analogue camera",
    "analog video": "analogue video",
    "beeper": "buzzer",
    "compass": "magnetometer",
    "gps": "gnss",
    "lidar": "rangefinder",
}


def kind_of(word: str) -> str:
    """The kind a word of the build sheet means: lower case, blanks between words, the trade's spelling."""
    plain = " ".join(word.lower().replace("_", " ").replace("-", " ").split())
    return ALSO_CALLED.get(plain, plain)

"""Small firmwares drawn at random: a known-good dump, its build sheet, and what the dump truly says."""

from __future__ import annotations

import random
from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.model.value import Value

JOBS = ("receiver", "gnss", "displayport", "telemetry", "esc-telemetry", "rangefinder")
KINDS = {
    "receiver": "receiver", "gnss": "gnss", "displayport": "digital video", "telemetry": "telemetry radio",
    "esc-telemetry": "esc telemetry", "rangefinder": "rangefinder",
}  # fmt: skip
WORDS = ("reed", "sedge", "alder", "osier", "willow", "rush", "fern", "moss", "bank", "weir", "pool", "ford")
RATES = (57600, 115200, 230400, 38400)


class Invented(Struct, frozen=True):
    """A firmware's dump, the sheet of the craft that flies with it, and the leaves that are true."""

    dump: str
    sheet: str
    true: dict[str, Value]


class _Port(Struct, frozen=True):
    name: str
    text: str
    job: str
    rate: int


def invented(seed: int) -> Invented:
    """The firmware of a seed."""
    draw = random.Random(seed)
    count = draw.randint(4, 6)
    ports = [f"UART{n}" for n in range(1, count + 1)]
    jobs = draw.sample(JOBS, draw.randint(2, min(4, count)))
    wired = dict(zip(draw.sample(ports, len(jobs)), jobs, strict=True))
    step = draw.choice((0, -1))
    stem = draw.choice(("u", "uart", "port", "line", ""))
    rated = {port: draw.choice(RATES) for port in ports}
    coded = _codes(draw, jobs)
    rows = [_Port(port, f"{stem}{int(port[4:]) + step}", wired.get(port, ""), rated[port]) for port in ports]
    motors = {n: f"P{draw.choice('ABC')}{n + draw.randint(0, 2) * 4}" for n in range(1, 5)}
    sectioned = draw.random() < 0.4
    true: dict[str, Value] = {}
    for row in rows:
        true[f"ports.{row.name}.functions"] = (row.job,) if row.job else ()
        true[f"ports.{row.name}.rate_baud"] = row.rate
    pads = draw.choice(("{0}{1}", "P{0}{1}", "P{0}_{1}", "P{0}{1:02}"))
    written = {n: pads.format(pin[1], int(pin[2:])) for n, pin in motors.items()}
    shift = draw.choice((0, 1))
    for n, pin in motors.items():
        true[f"outputs.{n - shift}.pin"] = pin
        true[f"outputs.{n - shift}.motor"] = n
    settings = dict(_settings(draw, true))
    if sectioned:
        lines = [*_assigned(settings, " = "), *_sections(draw, rows, coded, written, shift)]
    else:
        lines = [
            *_console(draw, rows, coded, written, shift),
            *_assigned(settings, draw.choice((" := ", " = ", ": "))),
        ]
    head = f"{draw.choice('#~;')} heath 1.{draw.randint(0, 30)}.2 for Reed-405, all"
    return Invented("\n".join([head, "", *lines, ""]), _sheet(draw, ports, wired, rated, motors), true)


def _codes(draw: random.Random, jobs: list[str]) -> dict[str, str]:
    """What is written for each job, and for none."""
    way = draw.choice(("hex", "mask", "number", "word"))
    if way == "word":
        words = draw.sample(WORDS, len(jobs) + 1)
        return {"": draw.choice(("none", "-", words[-1])), **dict(zip(jobs, words, strict=False))}
    if way == "number":
        numbers = draw.sample(range(1, 12), len(jobs))
        return {"": "0", **{job: str(number) for job, number in zip(jobs, numbers, strict=True)}}
    bits = draw.sample(range(14), len(jobs))
    shape = hex if way == "hex" else str
    return {"": shape(0), **{job: shape(1 << bit) for job, bit in zip(jobs, bits, strict=True)}}


def _settings(draw: random.Random, true: dict[str, Value]) -> Iterator[tuple[str, str]]:
    """Settings that mean something, under names that say it or not, and others that only look so."""
    link = draw.choice(("crsf", "sbus"))
    yield f"{draw.choice(WORDS)}.{draw.choice(('link', 'speech', 'kind'))}", link
    true["receiver.link"] = link
    if draw.random() < 0.5:
        true |= {"battery.cell_full_v": 4.2, "battery.cell_warn_v": 3.5, "battery.cell_empty_v": 3.3}
        names = ("full", "warn", "empty") if draw.random() < 0.5 else ("a", "b", "c")
        for name, volts in zip(names, ("420", "350", "330"), strict=True):
            yield f"cell-{name}", volts
    if draw.random() < 0.5:
        true["motors.poles"] = 14
        yield draw.choice(("magnets", "turns", "spokes")), "14"
    for n in range(draw.randint(0, 4)):
        yield (
            f"{draw.choice(WORDS)}.{draw.choice(WORDS)}-{n}x",
            draw.choice(("14", "350", "yes", "6", "wire", '"a b"')),
        )


def _console(
    draw: random.Random, rows: list[_Port], coded: dict[str, str], pins: dict[int, str], shift: int
) -> Iterator[str]:
    keyword, first = draw.choice(("serial", "link", "wire", "bank")), draw.random() < 0.5
    for row in rows:
        cells = [coded[row.job], str(row.rate)]
        yield " ".join([keyword, row.text or "x", *(cells if first else reversed(cells))])
    for n, pin in pins.items():
        yield f"thrust {n - shift} m{n} on {pin}"
    for n in range(draw.randint(0, 6)):
        yield f"decoy {n} {draw.choice(('1', '2', '64', 'yes'))} {draw.randint(0, 3000)}"


def _sections(
    draw: random.Random, rows: list[_Port], coded: dict[str, str], pins: dict[int, str], shift: int
) -> Iterator[str]:
    keyword = draw.choice(("serial", "link", "wire", "bank"))
    for row in rows:
        yield f"[{keyword} {row.text or 'x'}]"
        yield f"work = {coded[row.job]}"
        yield f"pace = {row.rate}"
        yield f"upright = {draw.choice(('yes', 'no'))}"
    for n, pin in pins.items():
        yield f"[thrust {n - shift}]"
        yield f"pin = {pin}"
        yield f"motor = {n}"


def _assigned(settings: dict[str, str], operator: str) -> Iterator[str]:
    for name, value in settings.items():
        yield f"{name}{operator}{value}"


def _sheet(
    draw: random.Random,
    ports: list[str],
    wired: dict[str, str],
    rates: dict[str, int],
    motors: dict[int, str],
) -> str:
    known = draw.random() < 0.8
    devices = "".join(
        f"  - {KINDS[job]}: {{port: {port}{f', rate_baud: {rates[port]}' if known else ''}}}\n"
        for port, job in wired.items()
    )
    pads = ", ".join(f"M{n}: {pin}" for n, pin in motors.items())
    places = ", ".join(f"{n}: {{pad: M{n}}}" for n in motors)
    return (
        f"board: {{ports: {{{', '.join(f'{port}: {{}}' for port in ports)}}}, motor_pads: {{{pads}}}}}\n"
        f"devices:\n{devices}motors: {{magnets: 14, places: {{{places}}}}}\n"
    )

"""Invented firmwares drawn at random, and a builder who does what the teaching asks for."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from enum import StrEnum
from random import Random
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.bits import nameless
from cfgaudit.dialect.codec.port import UNMAPPED
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.draft.draft import draft
from cfgaudit.dialect.form import Form
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.dialect.teach.settle import Question, Status, Study
from cfgaudit.dialect.teach.teach import Taught, teach
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path, parse
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build, build_from
from cfgaudit.model.value import Value

JOBS = ("receiver", "telemetry", "gnss", "msp", "displayport", "flight-log", "vtx-control")
_KINDS = {
    "receiver": "receiver", "telemetry": "telemetry radio", "gnss": "gnss", "msp": "companion",
    "displayport": "digital video", "flight-log": "flight log", "vtx-control": "analogue video",
}  # fmt: skip
ELEMENTS = ("battery_voltage", "flight_timer", "warnings", "craft_name", "altitude")
DEEDS = ("arm", "self_level", "beeper", "osd_off")
SINGLE = (
    "identity.craft_name",
    "battery.cell_warn_v",
    "osd.drive",
    "receiver.channels",
    "arming.checks",
    "video.power_mw",
)
LESSONS_MOST = 60

Settings = dict[Path, Value]


class Firmware(Struct, frozen=True):
    """The dialect as it is, and what a builder has before any lesson."""

    truth: Dialect
    skeleton: str  # the right kinds of lines, without any meaning
    numbered: bool  # outputs have the numbers of the motors that they drive
    ports: tuple[str, ...]
    numbers: Mapping[int, str]  # of the ports, where the firmware calls them by a number and no more
    most_jobs: int
    profiles: tuple[str, ...]
    slots: Mapping[str, str]  # of the switches, and what each does
    bounds: Mapping[str, tuple[Any, ...]]  # the values that a path may have, by its last segment

    def on_chip(self, path: Path) -> Path:
        """A path of the firmware's own port, ``ports.PORT6``, by the chip's name of it."""
        named = {f"{UNMAPPED}{number}": port for number, port in self.numbers.items()}
        return (path[0], named.get(path[1], path[1]), *path[2:]) if path[0] == "ports" else path

    def by_number(self, fact: Fact) -> Fact:
        """A fact of a chip's port by the firmware's own number of it."""
        named = {port: f"{UNMAPPED}{number}" for number, port in self.numbers.items()}
        return replace(fact, path=(fact.path[0], named[fact.path[1]], *fact.path[2:]))

    def settings(self, dice: Random, plain: bool = False) -> Settings:
        """A configuration at random; a plain one has no job and no pin twice, as a craft's sheet has."""
        made: Settings = {}
        jobs = iter(dice.sample(JOBS, len(JOBS)))
        for port in self.ports:
            most = 1 if plain else self.most_jobs
            count = dice.choice((0, 1, 1, 2)) if most > 1 else dice.choice((0, 1))
            drawn = [next(jobs)] if plain and count else [] if plain else dice.sample(JOBS, count)
            made["ports", port, "functions"] = tuple(job for job in JOBS if job in drawn)
            made["ports", port, "rate_baud"] = dice.choice(self.bounds["rate_baud"])
            made["ports", port, "inverted"] = dice.choice((True, False))
        for element in ELEMENTS:
            for part in ("column", "row", "shown"):
                made["osd", "elements", element, part] = dice.choice(self.bounds[part])
        for name in SINGLE:
            made[parse(name)] = dice.choice(self.bounds[name.rpartition(".")[2]])
        pins = dice.sample([pin for pin in self.bounds["pin"] if pin != "none"], 4)
        for n in range(1, 5):
            made["outputs", str(n), "pin"] = pins[n - 1] if plain else dice.choice(self.bounds["pin"])
        for slot, deed in self.slots.items():
            low, high = sorted(dice.sample(self.bounds["from_us"], 2))
            made["modes", deed, slot, "channel"] = dice.choice(self.bounds["channel"])
            made["modes", deed, slot, "from_us"] = low
            made["modes", deed, slot, "to_us"] = high
        for profile in self.profiles:
            made["profiles", profile, "roll_gain"] = dice.choice(self.bounds["roll_gain"])
            made["profiles", profile, "soft"] = dice.choice(self.bounds["soft"])
        return made

    def text(self, settings: Settings, name: str) -> Text:
        """What the firmware writes of a configuration."""
        rows = ["# own 1.0"]
        for scope in self.truth.scopes:
            forms = (*scope.settings.values(), *scope.forms)
            cells = scope.opens.cells if scope.opens else ()
            around = [
                tuple((one, keys[one]) for one in cells) for form in forms for keys in _keys(form, settings)
            ]
            for outer in dict.fromkeys(around):
                known = dict(outer)
                if scope.opens:
                    opens = scope.opens.render({one: _keyed(scope.cells[one], known[one]) for one in cells})
                    rows.append(f"[{opens}]" if self.truth.family == "sectioned" else opens)
                for form in forms:
                    rows += [
                        _row(form, keys, settings)
                        for keys in _keys(form, settings)
                        if known.items() <= keys.items()
                    ]
        return Text(name, "".join(f"{row}\n" for row in rows), "utf-8", mark=False)


def _row(form: Form, keys: Mapping[str, str], settings: Settings) -> str:
    texts: dict[str, str] = {}
    fields: dict[str, dict[str, Value]] = {}
    for gift in form.gifts:
        value = settings[gift.path.fill(keys)]
        if gift.field:
            fields.setdefault(gift.cell, {})[gift.field] = value
        else:
            texts[gift.cell] = form.cells[gift.cell].codec.write(value)
    for cell, parts in fields.items():
        texts[cell] = form.cells[cell].codec.write(parts)
    for cell in form.line.cells:
        if cell in keys:
            texts[cell] = _keyed(form.cells[cell], keys[cell])
        texts.setdefault(cell, "0")
    return form.line.render(texts)


def _keyed(cell: Cell, key: str) -> str:
    return cell.codec.write(cell.codec.parse(key))


def _keys(form: Form, settings: Settings) -> Iterator[dict[str, str]]:
    path = form.gifts[0].path
    seen = {}
    for one in settings:
        keys = path.match(one)
        if keys is not None:
            seen[tuple(keys.values())] = keys
    yield from seen.values()


def firmware(dice: Random, numbered: bool = False) -> Firmware:
    """A firmware at random: its family, index base, columns, masks, words, scales, offsets, packed fields.

    ``numbered``: outputs have the numbers of the motors that they drive.
    """
    family = dice.choice(("console", "console", "sectioned", "columns"))
    separator = dice.choice((",", " ")) if family == "columns" else " "
    ports = tuple(f"UART{n}" for n in sorted(dice.sample(range(1, 9), dice.randint(3, 5))))
    profiles: tuple[str, ...] = ()
    head = {"dialect": "own", "family": family, "header": "own {firmware.version}"}
    if family == "columns":
        head["separator"] = separator
        head["assignment"] = f"{{name}}{separator}{{value}}"
    elif family == "console":
        head["assignment"] = dice.choice(("{name} := {value}", "set {name} = {value}", "{name} = {value}"))
    else:
        head["assignment"] = "{name} = {value}"
    jobs, most = _jobs(dice, "" if separator == "," else family)
    rate, rates = dice.choice(_RATES)
    packed, parts = _packed(dice)
    port_key = _port_key(dice, ports)
    things = (
        _Thing(
            ("link", "serial"), port_key,
            {"work": jobs, "pace": rate, "upside": _flag(dice)},
            {"ports.{a}.functions": "work", "ports.{a}.rate_baud": "pace", "ports.{a}.inverted": "upside"},
        ),
        _Thing(
            ("show", "tile"), _element_key(dice), {"spot": packed},
            {f"osd.elements.{{a}}.{part}": f"spot.{part}" for part in ("column", "row", "shown")},
        ),
        _Thing(
            ("leg", "lane"), {"integer": {"offset": 0 if numbered else dice.choice((0, 1))}},
            {"pin": _pin(dice)}, {"outputs.{a}.pin": "pin"},
        ),
    )  # fmt: skip
    levers, slots, pulses = _levers(dice)
    full: dict[str, Any] = {**head, "forms": [], "settings": {}, "scopes": []}
    for thing in things:
        _lay(dice, full, thing)
    _lay_levers(dice, full, levers)
    single = _single(dice)
    if family == "sectioned" and dice.random() < 0.5:
        full["scopes"].append({"opens": "craft", "settings": single})
    else:
        full["settings"] |= single
    if family != "columns":
        shift = dice.choice((0, 1))
        full["scopes"].append(
            {
                "opens": "tune {n}",
                "cells": {"n": {"integer": {"offset": shift} if shift else None}},
                "settings": {
                    "gain.roll": {"is": "profiles.{n}.roll_gain", "integer": None},
                    "gentle": {"is": "profiles.{n}.soft", **_flag(dice)},
                },
            }
        )
        profiles = tuple(str(n + shift) for n in range(dice.choice((2, 3))))
    full = {key: value for key, value in full.items() if value}
    return Firmware(
        truth=own_dialect(read_yaml(json.dumps(full), "truth.yaml")),
        skeleton=_block(_bare(full)),
        numbered=numbered,
        ports=ports,
        numbers={int(text): port for text, port in port_key["words"].items() if text.isdecimal()},
        most_jobs=most,
        profiles=profiles,
        slots=slots,
        bounds={
            "rate_baud": rates,
            "inverted": (True, False),
            "column": tuple(range(1 << parts[0])),
            "row": tuple(range(1 << parts[1])),
            "shown": (True, False),
            "cell_warn_v": (3.2, 3.3, 3.4, 3.5, 3.6, 3.7),
            "drive": ("chip", "displayport", "off"),
            "channels": (8, 12, 16),
            "checks": (True, False),
            "power_mw": (25, 100, 200, 600),
            "pin": ("PB6", "PA3", "PC12", "PB7", "PA10", "none"),
            "craft_name": ("mud lark", "river kite 2", "reed", "Weir_7"),
            "channel": tuple(range(5, 13)),
            "from_us": pulses,
            "to_us": pulses,
            "roll_gain": (30, 45, 60, 75),
            "soft": (True, False),
        },
    )


_RATES: tuple[tuple[Any, tuple[int, ...]], ...] = (
    ({"integer": None}, (9600, 57600, 115200, 420000)),
    ({"decimal": 100}, (9600, 57600, 115200, 420000)),
    ({"words": {"1": 9600, "3": 57600, "5": 115200}}, (9600, 57600, 115200)),
)


class _Thing(Struct, frozen=True):
    """What a firmware says of each of its ports, elements or outputs."""

    words: tuple[str, ...]  # it may be called
    key: dict[str, Any]
    cells: dict[str, Any]
    gives: dict[str, str]


def _lay(dice: Random, full: dict[str, Any], thing: _Thing) -> None:
    """Lay a thing out as a row, as settings with its name inside, or as a section of its own."""
    family, word = full["family"], dice.choice(thing.words)
    lists = [name for name, cell in thing.cells.items() if _has_blanks(cell)]
    tail = lists[0] if lists and full.get("separator") != "," else ""
    indexed = family == "console" and dice.random() < 0.3
    if family == "sectioned" and dice.random() < 0.7 and not _is_packed(thing):
        opens = f"{word} {{a}}" if dice.random() < 0.6 or _is_wordy(thing.key) else f"{word}{{a}}"
        paths = {source: path for path, source in thing.gives.items()}
        settings = {name: {"is": paths[name], **cell} for name, cell in thing.cells.items()}
        full["scopes"].append({"opens": opens, "cells": {"a": thing.key}, "settings": settings})
    elif indexed or family == "sectioned":
        middle = dice.choice(("/{a}/", ".{a}.", "_{a}_")) if indexed else "-{a}-"
        forms = full["forms"]
        if family == "sectioned":
            full["scopes"].append({"opens": f"all-{word}", "forms": []})
            forms = full["scopes"][-1]["forms"]
        for name, cell in thing.cells.items():
            line = full["assignment"].replace("{name}", f"{word}{middle}{name}")
            forms.append(
                {
                    "line": line.replace("{value}", "{b...}" if name == tail else "{b}"),
                    "key": ["a"],
                    "cells": {"a": thing.key, "b": cell},
                    "gives": {
                        path: source.replace(name, "b", 1)
                        for path, source in thing.gives.items()
                        if source.partition(".")[0] == name
                    },
                }
            )
    else:
        cells = {"a": thing.key, **thing.cells}
        if len(cells) > 2 and dice.random() < 0.5:
            cells["other"] = {"text": None}
        order = [f"{{{name}}}" for name in cells if name != tail]
        dice.shuffle(order)
        if len(cells) == 2:
            order = ["{a}", *(one for one in order if one != "{a}")]
        order += [f"{{{tail}...}}"] if tail else []
        if family == "console" and len(cells) == 2:
            order.insert(1, dice.choice(("on", "at", "is")))
        separator = full.get("separator", " ")
        line = separator.join([word.upper() if family == "columns" else word, *order])
        full["forms"].append({"line": line, "key": ["a"], "cells": cells, "gives": thing.gives})


def _levers(dice: Random) -> tuple[dict[str, Any], dict[str, str], tuple[int, ...]]:
    """How the switches of the radio are written: the cells, the slots and the pulses that there are."""
    first = dice.choice((0, 1))
    deeds = dice.sample(DEEDS, len(DEEDS))
    slots = {str(first + n): deed for n, deed in enumerate(deeds)}
    named = dice.random() < 0.5
    words = {
        deed[:3] if named else str(n): deed for n, deed in zip(dice.sample(range(30), 4), DEEDS, strict=True)
    }
    start, by = dice.choice(((0, 1), (0, 1), (900, 25), (850, 10), (800, 50)))
    pulse = {"integer": {"offset": start, "by": by}} if start else {"integer": None}
    offset = dice.choice((0, 1, 4, 5))
    cells = {
        "s": {"integer": None},
        "d": {"words": words},
        "knob": {"integer": {"offset": offset} if offset else None},
        "low": pulse,
        "high": pulse,
    }
    return cells, slots, tuple(range(900, 2101, by if start else 25))


def _lay_levers(dice: Random, full: dict[str, Any], cells: dict[str, Any]) -> None:
    """Lay the switches out as rows: of a section with nothing else, or beside all others."""
    separator = full.get("separator", " ")
    home = full
    line = separator.join(("knob" if separator == " " else "KNOB", *(f"{{{name}}}" for name in cells)))
    if full["family"] == "sectioned":
        home = {"opens": "knobs", "forms": []}
        full["scopes"].append(home)
        line = "k{s} = {d} {knob} {low} {high}"
    gives = {"channel": "knob", "from_us": "low", "to_us": "high"}
    paths = {f"modes.{{d}}.{{s}}.{name}": cell for name, cell in gives.items()}
    home["forms"].append({"line": line, "key": ["s"], "cells": cells, "gives": paths})


def _has_blanks(cell: Mapping[str, Any]) -> bool:
    return "list" in cell  # a blank stands behind a comma as well


def _is_packed(thing: _Thing) -> bool:
    return any("packed" in cell for cell in thing.cells.values())


def _is_wordy(key: Mapping[str, Any]) -> bool:
    return any(not text.isdigit() for text in key.get("words", ()))


def _flag(dice: Random) -> dict[str, Any]:
    on, off = dice.choice((("on", "off"), ("1", "0"), ("Y", "N"), ("yes", "no"), ("up", "down")))
    if dice.random() < 0.3:
        on, off = off, on
    return {"flag": {"on": [on], "off": [off]}}


def _pin(dice: Random) -> dict[str, Any]:
    style = dice.choice(("{port}{number}", "P{port}{number:02}", "P{port}{number}", "P{port}_{number}"))
    return {"pin": style, "none": [dice.choice(("-", "none", "off"))]}


def _element_key(dice: Random) -> dict[str, Any]:
    named = dice.random() < 0.5
    numbers = dice.sample(range(20), len(ELEMENTS))
    return {"words": {f"e{n}" if named else str(n): one for n, one in zip(numbers, ELEMENTS, strict=True)}}


def _single(dice: Random) -> dict[str, Any]:
    scale = dice.choice((0.01, 0.1, 0.001, 0.05, {"by": 1, "places": 2}, {"by": 1, "places": 1}))
    drive = dice.choice((("chip", "line", "none"), ("0", "1", "2"), ("2", "0", "1")))
    name = dice.choice(({"quoted": True}, {"quoted": True}, {}))
    return {
        "called": {"is": "identity.craft_name", "text": None, **name},
        dice.choice(("volts.warn", "hush")): {"is": "battery.cell_warn_v", "decimal": scale},
        "screen": {"is": "osd.drive", "words": dict(zip(drive, ("chip", "displayport", "off"), strict=True))},
        "sticks": {"is": "receiver.channels", "integer": {"offset": dice.choice((0, 1, 4, 5))}},
        "checks": {"is": "arming.checks", **_flag(dice)},
        "power": {"is": "video.power_mw", "words": {"0": 25, "1": 100, "2": 200, "3": 600}},
    }


def _bare(full: Mapping[str, Any]) -> dict[str, Any]:
    """The same kinds of lines, all their cells as texts that give nothing."""
    made = dict(full)
    for part in ("forms", "scopes"):
        if part in full:
            made[part] = [_bare(one) for one in full[part]]
    for part in ("cells", "settings"):
        if part in full:
            made[part] = dict.fromkeys(full[part], "text")
    return {name: value for name, value in made.items() if name not in ("gives", "key")}


def _block(data: Mapping[str, Any]) -> str:
    from cfgaudit.dialect.teach.amend import block

    return "# a draft\n" + "\n".join(block(data, 0)) + "\n"


def _port_key(dice: Random, ports: tuple[str, ...]) -> dict[str, Any]:
    """How ports are called."""
    numbers = [int(port[4:]) for port in ports]
    kind = dice.choice(("base 0", "base 1", "stem 0", "stem 1", "own"))
    if kind == "own":
        own = dice.sample(range(20, 60), len(ports))
        return {"words": {str(n): port for n, port in zip(own, ports, strict=True)}}
    stem = "p" if kind.startswith("stem") else ""
    shift = 1 if kind.endswith("0") else 0
    return {"words": {f"{stem}{n - shift}": port for n, port in zip(numbers, ports, strict=True)}}


def _jobs(dice: Random, family: str) -> tuple[dict[str, Any], int]:
    """How jobs are written. No family: the comma is taken."""
    kind = dice.choice(("decimal", "hex", "blanks", "commas", "one word", "one number"))
    bits = dice.sample(range(16), len(JOBS))
    if kind in ("decimal", "hex"):
        mask = {"bits": {str(bit): job for bit, job in zip(bits, JOBS, strict=True)}, "written": kind}
        return mask, len(JOBS)
    words = {
        f"j{bit}" if kind != "one number" else str(bit + 1): job for bit, job in zip(bits, JOBS, strict=True)
    }
    empty = dice.choice(("none", "-")) if kind != "one number" else "0"
    made: dict[str, Any] = {"of": {"words": words}, "empty": empty}
    if kind != "blanks" and family:
        made["separated"] = ","
    elif kind == "commas":
        made["separated"] = "+"
    return {"list": made}, len(JOBS) if kind in ("blanks", "commas") else 1


def _packed(dice: Random) -> tuple[dict[str, Any], tuple[int, int]]:
    widths = {"column": dice.randint(4, 6), "row": dice.randint(3, 5), "shown": 1}
    names = dice.sample(list(widths), 3)
    at, made = dice.choice((0, 0, 1)), {}
    for name in names:
        made[name] = f"{at}-{at + widths[name] - 1}" if widths[name] > 1 else str(at)
        at += widths[name]
    if dice.random() < 0.25:  # the column's upper part stands apart, above all others
        low, high = map(int, made["column"].split("-"))
        made["column"] = f"{low}-{high - 1},{at + 1}"
    fields: dict[str, Any] = {name: {"bits": bits} for name, bits in made.items()}
    fields["shown"]["flag"] = dice.choice((None, {"on": 0, "off": 1}))
    return {"packed": fields, "written": dice.choice(("decimal", "hex"))}, (widths["column"], widths["row"])


def sheet_of(made: Firmware, settings: Settings) -> Build:
    """The build sheet of a craft that flies with a plain configuration."""
    devices = [
        {_KINDS[job]: {"port": port, "job": job, "rate_baud": settings["ports", port, "rate_baud"]}}
        for port in made.ports
        for job in _jobs_of(settings["ports", port, "functions"])
    ]
    pads = {f"M{n}": settings["outputs", str(n), "pin"] for n in range(1, 5)}
    board = {"ports": {port: {} for port in made.ports}, "motor_pads": pads}
    motors = {"places": {str(n): {"pad": f"M{n}"} for n in range(1, 5)}}
    return build_from(
        read_yaml(json.dumps({"board": board, "devices": devices, "motors": motors}), "build.yaml")
    )


def _jobs_of(value: Value) -> tuple[str, ...]:
    return tuple(map(str, value)) if isinstance(value, tuple) else ()


# The builder


class Start(StrEnum):
    """What the dialect is that the first lesson amends."""

    SKELETON = "skeleton"  # the right kinds of lines, without any meaning
    DRAFT = "draft"  # a draft of the first dump
    SHEET = "sheet"  # a draft of the first dump and the craft's sheet


class Refused(Struct):
    """A lesson that was true and was refused."""

    fact: Fact
    text: str  # the dialect so far
    before: Dump
    after: Dump
    why: str


class School(Struct):
    """What came of the lessons."""

    text: str
    first: Text  # the dump before all lessons
    study: Study
    lessons: int
    drafted: frozenset[Path]  # shapes that the draft gave, before any lesson
    refused: tuple[Refused, ...]


def schooled(made: Firmware, dice: Random, start: Start) -> School:
    """Teach a firmware: one lesson for each kind of thing, then those that are asked for."""
    now, number = made.settings(dice, plain=start is Start.SHEET), 0
    first = made.text(now, "0.txt")
    text = made.skeleton
    if start is not Start.SKELETON:
        text = draft(first, sheet_of(made, now) if start is Start.SHEET else None).text
    dialect = own_dialect(read_yaml(text, "own.yaml")).on_board(made.numbers)
    drafted = frozenset(
        Fact(path, "=", 0).shape
        for path in read_dump(first, as_dialect(first, dialect)).model.leaves
        if path in now
    )
    dump = read_statements(first, dialect.family)
    waiting = [
        Fact(path, "=", 0) for path in _first_paths(now, dice) if Fact(path, "=", 0).shape not in drafted
    ]
    study = Study((), (), ())
    refused: list[Refused] = []
    tried: set[object] = set()
    told_values: set[object] = set()
    while number < LESSONS_MOST:
        if waiting:
            asked = _current(made, now, waiting.pop(0), dice)
        else:
            facts = (
                fact
                for one in sorted(study.questions, key=lambda q: not q.needed)
                if (one, number if one.value is UNTOLD else 0) not in tried
                and (fact := _answer(made, now, one, study, told_values, dice)) is not None
                and (fact, dump.text) not in tried
            )
            found = next(facts, None)
            if found is None:
                break
            asked = found
            tried.add((asked, dump.text))
        told_values |= {(asked.shape, asked.value), (asked.shape, asked.was)}
        after = _changed(now, asked)
        number += 1
        new = read_statements(made.text(after, f"{number}.txt"), dialect.family)
        if new.text == dump.text:
            continue
        taught = _taught(text, dump, new, asked)
        if isinstance(taught, Refused) and "numbers its ports itself" in taught.why:
            taught = _taught(text, dump, new, made.by_number(asked))
        if isinstance(taught, Refused):
            refused.append(taught)
            now, dump = after, new
            continue
        text, study, now, dump = taught.text, taught.study, after, new
    return School(text, first, study, number, drafted, tuple(refused))


def _taught(text: str, before: Dump, after: Dump, fact: Fact) -> Taught | Refused:
    try:
        taught = teach(read_yaml(text, "own.yaml"), before, after, [fact])
    except Refusal as refusal:
        return Refused(fact, text, before, after, refusal.what)
    if taught.refused:
        shapes = [out for out in taught.study.outcomes if out.status is Status.REFUTED]
        why = "; ".join(f"{'.'.join(out.shape)} by {len(out.against)} lessons" for out in shapes)
        return Refused(fact, text, before, after, why)
    return taught


def _first_paths(now: Settings, dice: Random) -> Iterator[Path]:
    shapes: dict[Path, list[Path]] = {}
    for path in now:
        shapes.setdefault(Fact(path, "=", 0).shape, []).append(path)
    for paths in shapes.values():
        yield dice.choice(paths)


def _current(made: Firmware, now: Settings, fact: Fact, dice: Random) -> Fact:
    """A change of a path, whatever it is now."""
    value = now[fact.path]
    if isinstance(value, tuple):
        free = [job for job in JOBS if job not in value]
        if len(value) < made.most_jobs:
            return Fact(fact.path, "+=", (dice.choice(free),))
        return Fact(fact.path, "-=", (value[0],))
    others = [one for one in made.bounds[fact.path[-1]] if one != value]
    return Fact(fact.path, "=", dice.choice(others), value if dice.random() < 0.3 else UNTOLD)


def _answer(
    made: Firmware, now: Settings, one: Question, study: Study, told_values: set[object], dice: Random
) -> Fact | None:
    """The change that a question asks for, if this firmware can do it."""
    asked = made.on_chip(one.path)
    paths = [path for path in now if _fits(path, asked)]
    if "*" in asked:
        chosen = (out.chosen for out in study.outcomes if out.shape == one.path)
        told = {segment for each in chosen for key in each.keys for _, segment in key.known}
        paths = [path for path in paths if not told & set(path)]
    for path in paths:
        value = now[path]
        if isinstance(value, tuple):
            fact = _list_fact(made, value, path, one)
        else:
            wanted = one.value
            options = [v for v in made.bounds[path[-1]] if v != value]
            shape = Fact(path, "=", 0).shape
            options = [v for v in options if (shape, v) not in told_values] or (options if one.needed else [])
            if not isinstance(wanted, Untold):
                options = [v for v in options if v == wanted]
            fact = Fact(path, "=", dice.choice(options), value) if options else None
        if fact:
            return fact
    return None


def _list_fact(made: Firmware, value: tuple[Any, ...], path: Path, one: Question) -> Fact | None:
    if one.value == ():
        return Fact(path, "=", (), value) if value else None
    if one.sign == "-=":
        words = value if isinstance(one.value, Untold) else one.value
        there = [word for word in words if word in value] if isinstance(words, tuple) else []
        return Fact(path, "-=", (there[0],)) if there else None
    words = JOBS if isinstance(one.value, Untold) else one.value
    free = [word for word in words if word in JOBS and word not in value] if isinstance(words, tuple) else []
    if free and len(value) == made.most_jobs == 1:
        return Fact(path, "=", (free[0],), value)
    if not free or len(value) >= made.most_jobs:
        if isinstance(one.value, Untold) and value:
            return Fact(path, "-=", (value[0],))
        return None
    return Fact(path, "+=", (free[0],))


def _fits(path: Path, asked: Path) -> bool:
    return len(path) == len(asked) and all(b in ("*", a) for a, b in zip(path, asked, strict=True))


def _changed(now: Settings, fact: Fact) -> Settings:
    after = dict(now)
    value = now[fact.path]
    if fact.sign == "=" or not isinstance(value, tuple) or not isinstance(fact.value, tuple):
        after[fact.path] = fact.value
    elif fact.sign == "+=":
        after[fact.path] = tuple(job for job in JOBS if job in (*value, *fact.value))
    else:
        after[fact.path] = tuple(job for job in value if job not in fact.value)
    return after


# What was learned


class Mark(Struct):
    """How a taught dialect reads dumps that it was not taught with, by the shapes of paths."""

    exact: int
    read: int
    shapes: set[Path]  # all that the firmware has
    settled: set[Path]  # that the dialect gives as certain
    asked: set[Path]  # of which something is still open, and said to be
    wrong: set[Path]  # of which a value was read wrongly, and nothing said
    silent: set[Path]  # of which a value was not read, and nothing said of its line or of the path


def marked(made: Firmware, school: School, dice: Random, dumps: int) -> Mark:
    """Read other dumps by the truth and by what was taught."""
    own = own_dialect(read_yaml(school.text, "own.yaml")).on_board(made.numbers)
    settled, asked = set(school.drafted), set()
    for out in school.study.outcomes:
        (settled.add if out.status is Status.SETTLED else settled.discard)(out.shape)
        if out.questions or out.status is not Status.SETTLED:
            asked.add(out.shape)
    mark = Mark(0, dumps, set(), settled, asked, set(), set())
    for n in range(dumps):
        settings = made.settings(dice)
        text = made.text(settings, f"held-back-{n}.txt")
        reading = read_dump(text, as_dialect(text, own))
        truth = read_dump(text, as_dialect(text, made.truth)).model.leaves
        said = {one.place.line for one in reading.doubts} | {one.place.line for one in reading.unknown}
        read = {path: leaf.value for path, leaf in reading.model.leaves.items() if path[0] != "firmware"}
        if made.numbered:  # the number of an output is its motor's
            read = {path: value for path, value in read.items() if path != ("outputs", str(value), "motor")}
        mark.shapes |= {Fact(path, "=", 0).shape for path in settings}
        mark.exact += {path: _set(value) for path, value in settings.items()} == {
            path: _set(value) for path, value in read.items()
        }
        for path in settings.keys() | read.keys():
            value, shape = read.get(path, UNTOLD), Fact(path, "=", 0).shape
            strange = isinstance(value, tuple) and any(map(nameless, value))
            if value is UNTOLD and not (truth[path].origin.line in said or shape in asked):
                mark.silent.add(shape)
            elif value is not UNTOLD and not strange and _set(settings.get(path, UNTOLD)) != _set(value):
                mark.wrong.add(shape)
    return mark


def _set(value: object) -> object:
    return frozenset(value) if isinstance(value, tuple) else value

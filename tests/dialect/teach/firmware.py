"""Invented firmwares drawn at random, and a builder who does what the teaching asks for."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from random import Random
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.codec.bits import nameless
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.dialect.teach.settle import Question, Status, Study
from cfgaudit.dialect.teach.teach import teach
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path, parse
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.value import Value

JOBS = ("receiver", "telemetry", "gnss", "msp", "displayport", "flight-log", "vtx-control")
ELEMENTS = ("battery_voltage", "flight_timer", "warnings", "craft_name", "altitude")
SINGLE = ("battery.cell_warn_v", "osd.drive", "receiver.channels", "arming.checks", "video.power_mw")
LESSONS_MOST = 60

Settings = dict[Path, Value]


class Firmware(Struct, frozen=True):
    """The dialect as it is, and what a builder has before any lesson."""

    truth: Dialect
    skeleton: str
    ports: tuple[str, ...]
    most_jobs: int
    bounds: Mapping[str, tuple[Any, ...]]  # the values that a path may have, by its last segment
    lines: Mapping[str, dict[str, str]]  # template → cells' paths

    def settings(self, dice: Random) -> Settings:
        """A configuration at random."""
        made: Settings = {}
        for port in self.ports:
            count = dice.choice((0, 1, 1, 2)) if self.most_jobs > 1 else dice.choice((0, 1))
            drawn = dice.sample(JOBS, count)
            jobs = [job for job in JOBS if job in drawn]
            made[("ports", port, "functions")] = tuple(jobs)
            made[("ports", port, "rate_baud")] = dice.choice(self.bounds["rate_baud"])
        for element in ELEMENTS:
            for part in ("column", "row", "shown"):
                made["osd", "elements", element, part] = dice.choice(self.bounds[part])
        for name in (
            "battery.cell_warn_v",
            "osd.drive",
            "receiver.channels",
            "arming.checks",
            "video.power_mw",
        ):
            made[parse(name)] = dice.choice(self.bounds[name.rpartition(".")[2]])
        for n in range(1, 5):
            made["outputs", str(n), "pin"] = dice.choice(self.bounds["pin"])
        return made

    def dump(self, settings: Settings, name: str) -> Dump:
        """What the firmware writes of a configuration."""
        return read_statements(self.text(settings, name), self.truth.family)

    def text(self, settings: Settings, name: str) -> Text:
        """The text of a dump."""
        rows = ["# own 1.0"]
        for scope in self.truth.scopes:
            for form in scope.all_forms():
                for keys in _keys(form.gifts[0].path.segments, form.gifts[0].path.holes, settings):
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
                            texts[cell] = form.cells[cell].codec.write(
                                form.cells[cell].codec.parse(keys[cell])
                            )
                        texts.setdefault(cell, "0")
                    rows.append(form.line.render(texts))
        return Text(name, "".join(f"{row}\n" for row in rows), "utf-8", mark=False)


def _keys(segments: tuple[str, ...], holes: tuple[bool, ...], settings: Settings) -> Iterator[dict[str, str]]:
    seen = {}
    for path in settings:
        if len(path) == len(segments) and all(
            hole or one == part for one, part, hole in zip(path, segments, holes, strict=True)
        ):
            keys = {part: one for one, part, hole in zip(path, segments, holes, strict=True) if hole}
            seen[tuple(keys.values())] = keys
    yield from seen.values()


def firmware(dice: Random) -> Firmware:
    """A firmware at random: index base, columns, masks, words, scales, offsets, packed fields."""
    ports = tuple(f"UART{n}" for n in sorted(dice.sample(range(1, 9), dice.randint(3, 5))))
    jobs, most = _jobs(dice)
    rate, rates = dice.choice(
        (
            ("integer", (9600, 57600, 115200, 420000)),
            ({"decimal": 100}, (9600, 57600, 115200, 420000)),
            ({"words": {"1": 9600, "3": 57600, "5": 115200}}, (9600, 57600, 115200)),
        )
    )
    cells: dict[str, Any] = {"a": _port_key(dice, ports), "b": jobs, "c": rate, "d": "text"}
    order = ["{a}", "{b}", "{c}", "{d}"]
    tail = most > 1 and "list" in jobs
    dice.shuffle(order)
    if tail:
        order.remove("{b}")
        order.append("{b...}")
    port = {
        "line": " ".join([dice.choice(("link", "uplink")), *order]),
        "key": ["a"],
        "cells": cells,
        "gives": {"ports.{a}.functions": "b", "ports.{a}.rate_baud": "c"},
    }
    packed, parts = _packed(dice)
    names = dice.sample(range(20), len(ELEMENTS))
    spelt = dict.fromkeys(ELEMENTS)
    for n, name in zip(names, ELEMENTS, strict=True):
        spelt[name] = dice.choice((str(n), f"e{n}"))
    element = {
        "line": "show {a} {b}",
        "cells": {"a": {"words": {text: name for name, text in spelt.items()}}, "b": packed},
        "gives": {f"osd.elements.{{a}}.{part}": f"b.{part}" for part in ("column", "row", "shown")},
    }
    base = dice.choice((0, 1))
    none = dice.choice(("-", "none", "off"))
    style = dice.choice(("{port}{number}", "P{port}{number:02}", "P{port}{number}"))
    output = {
        "line": "leg {a} on {b}",
        "cells": {"a": {"integer": {"offset": 1 - base}}, "b": {"pin": style, "none": [none]}},
        "gives": {"outputs.{a}.pin": "b"},
    }
    scale = dice.choice((0.01, 0.1, 0.001, 0.05, {"by": 1, "places": 2}, {"by": 1, "places": 1}))
    on, off = dice.choice((("on", "off"), ("off", "on"), ("1", "0"), ("0", "1"), ("Y", "N")))
    drive = dice.choice((("chip", "line", "none"), ("0", "1", "2"), ("2", "0", "1")))
    settings = {
        "volts.warn": {"is": "battery.cell_warn_v", "decimal": scale},
        "screen": {"is": "osd.drive", "words": dict(zip(drive, ("chip", "displayport", "off"), strict=True))},
        "sticks": {"is": "receiver.channels", "integer": {"offset": dice.choice((0, 1, 4, 5))}},
        "checks": {"is": "arming.checks", "flag": {"on": [on], "off": [off]}},
        "power": {"is": "video.power_mw", "words": {"0": 25, "1": 100, "2": 200, "3": 600}},
    }
    head = {"dialect": "own", "family": "console", "header": "own {firmware.version}"}
    head["assignment"] = dice.choice(("{name} := {value}", "set {name} = {value}"))
    full = {**head, "forms": [port, element, output], "settings": settings}
    bare = {
        **head,
        "forms": [
            {"line": form["line"], "cells": dict.fromkeys(form["cells"], "text")}
            for form in (port, element, output)
        ],
        "settings": dict.fromkeys(settings, "text"),
    }
    return Firmware(
        truth=own_dialect(read_yaml(json.dumps(full), "truth.yaml")),
        skeleton=_block(bare),
        ports=ports,
        most_jobs=most,
        bounds={
            "rate_baud": rates,
            "column": tuple(range(1 << parts[0])),
            "row": tuple(range(1 << parts[1])),
            "shown": (True, False),
            "cell_warn_v": (3.2, 3.3, 3.4, 3.5, 3.6, 3.7),
            "drive": ("chip", "displayport", "off"),
            "channels": (8, 12, 16),
            "checks": (True, False),
            "power_mw": (25, 100, 200, 600),
            "pin": ("PB6", "PA3", "PC12", "none"),
        },
        lines={},
    )


def _block(data: Mapping[str, Any]) -> str:
    from cfgaudit.dialect.teach.amend import block

    return "# a draft\n" + "\n".join(block(data, 0)) + "\n"


def _port_key(dice: Random, ports: tuple[str, ...]) -> dict[str, Any]:
    numbers = [int(port[4:]) for port in ports]
    kind = dice.choice(("base 0", "base 1", "stem 0", "stem 1", "own"))
    if kind == "own":
        own = dice.sample(range(20, 60), len(ports))
        return {"words": {str(n): port for n, port in zip(own, ports, strict=True)}}
    stem = "p" if kind.startswith("stem") else ""
    shift = 1 if kind.endswith("0") else 0
    return {"words": {f"{stem}{n - shift}": port for n, port in zip(numbers, ports, strict=True)}}


def _jobs(dice: Random) -> tuple[dict[str, Any], int]:
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
    if kind in ("commas", "one number"):
        made["separated"] = ","
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


# The builder


class School(Struct):
    """What came of the lessons."""

    text: str
    study: Study
    lessons: int


def schooled(made: Firmware, dice: Random) -> School:
    """Teach a firmware: one lesson for each kind of thing, then those that are asked for."""
    text, now, number = made.skeleton, made.settings(dice), 0
    dump = made.dump(now, "0.txt")
    waiting: list[Fact] = [_first(made, now, path, dice) for path in _first_paths(now, dice)]
    study = Study((), (), ())
    tried: set[object] = set()
    told_values: set[object] = set()
    while number < LESSONS_MOST:
        if waiting:
            asked = _current(made, now, waiting.pop(0), dice)
        else:
            questions = [one for out in study.outcomes for one in out.questions]
            facts = (
                fact
                for one in sorted(questions, key=lambda q: not q.needed)
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
        new = made.dump(after, f"{number}.txt")
        if new.text == dump.text:
            continue
        taught = teach(read_yaml(text, "own.yaml"), dump, new, [asked])
        assert not taught.refused, (asked, [out for out in taught.study.outcomes if not out.readings])
        text, study, now, dump = taught.text, taught.study, after, new
    return School(text, study, number)


def _first_paths(now: Settings, dice: Random) -> Iterator[Path]:
    shapes: dict[Path, list[Path]] = {}
    for path in now:
        shapes.setdefault(Fact(path, "=", 0).shape, []).append(path)
    for paths in shapes.values():
        yield dice.choice(paths)


def _first(made: Firmware, now: Settings, path: Path, dice: Random) -> Fact:
    return Fact(path, "=", 0)


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
    paths = [path for path in now if _fits(path, one.path)]
    if "*" in one.path:
        outcome = next(out for out in study.outcomes if out.shape == one.path)
        told = {segment for key in outcome.chosen.keys for _, segment in key.known}
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
    if one.sign == "-=":
        words = value if isinstance(one.value, Untold) else one.value
        there = [word for word in words if word in value] if isinstance(words, tuple) else []
        return Fact(path, "-=", (there[0],)) if there else None
    words = JOBS if isinstance(one.value, Untold) else one.value
    free = [word for word in words if word in JOBS and word not in value] if isinstance(words, tuple) else []
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
    """How a taught dialect reads dumps that it was not taught with."""

    exact: int
    read: int
    wrong: set[Path]  # shapes of which a value was read wrongly, and nothing said
    settled: set[Path]
    shapes: set[Path]


def marked(made: Firmware, school: School, dice: Random, dumps: int) -> Mark:
    """Read other dumps by the truth and by what was taught."""
    own = own_dialect(read_yaml(school.text, "own.yaml"))
    mark = Mark(0, dumps, set(), set(), set())
    for out in school.study.outcomes:
        mark.shapes.add(out.shape)
        if out.status is Status.SETTLED:
            mark.settled.add(out.shape)
    for n in range(dumps):
        text = made.text(made.settings(dice), f"held-back-{n}.txt")
        true = read_dump(text, as_dialect(text, made.truth)).model.leaves
        reading = read_dump(text, as_dialect(text, own))
        strange = [leaf.value for leaf in reading.model.leaves.values()]
        same = {path: leaf.value for path, leaf in true.items()}
        read = {path: leaf.value for path, leaf in reading.model.leaves.items()}
        mark.exact += {k: _set(v) for k, v in same.items()} == {k: _set(v) for k, v in read.items()}
        for path, value in read.items():
            said = isinstance(value, tuple) and any(nameless(word) for word in value)
            if not said and _set(same.get(path, UNTOLD)) != _set(value):
                mark.wrong.add(Fact(path, "=", 0).shape)
        assert strange
    return mark


def _set(value: object) -> object:
    return frozenset(value) if isinstance(value, tuple) else value

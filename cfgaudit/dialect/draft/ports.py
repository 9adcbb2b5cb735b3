"""Which reading of which lines gives every declared device its job on the port it is soldered to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.dialect.codec.port import UNMAPPED
from cfgaudit.dialect.draft import look, sheet
from cfgaudit.dialect.draft.group import Field, Guess, Lesson, Question, Solved, Table, words_of
from cfgaudit.dialect.draft.spell import inline, key_of
from cfgaudit.model.value import spoken

_PORT = re.compile(r"(USB|(?:LP)?UART[1-9][0-9]?|SOFT[0-9]{1,2})")
_PORT_WORDS = frozenset(
    {"serial", "uart", "port", "ports", "link", "links", "line", "com", "tty", "u", "usart", "wire", "bus"}
)
_SEPARATORS = (",", "+", "|", "/", ";", "&")
_BITS_A_MASK = 5  # the highest bit from which on a few powers of two are no running numbers
_JOBS_A_MASK = 3  # powers of two, of different jobs, from which on they are no running numbers


class Mapped(Struct, frozen=True):
    """A way to read the names of ports: name → port, and how it is said."""

    ports: Mapping[str, str]
    said: str
    own: bool = False  # the names are the firmware's own numbers, whose ports the sheet says
    by_order: bool = False  # nothing in the names says the ports


class Reading(Struct, frozen=True):
    """A way to read a field as jobs."""

    mapped: Mapped
    field: Field
    spec: str
    said: str
    open_words: tuple[str, ...]  # found in the dump, of no known meaning
    words: Mapping[str, str] = {}  # the word of each job, where jobs have words
    idle: frozenset[str] = frozenset()  # what a port without a job has
    usb_is_console: bool = False  # by custom


def solve_ports(tables: Sequence[Table], tree: sheet.Tree, own_numbers: bool = False) -> Solved:
    """Ports, their jobs and rates. Nothing is settled while two readings fit.

    ``own_numbers``: a number that names a port is the firmware's own, which only the board explains.
    """
    jobs = sheet.jobs(tree)
    if not jobs:
        return Solved()
    fits = [(table, one) for table in tables for one in _readings(table, jobs, tree, own_numbers)]
    likely = [(table, one) for table, one in fits if _is_of_ports(table, one, tree)] or fits
    # names that say the port themselves are better than the order of the lines
    likely = [(table, one) for table, one in likely if not one.mapped.by_order] or likely
    named = [(table, one) for table, one in likely if _named_ports(table)]
    likely = _brought_out(named or likely, tree)
    if len(likely) == 1 and len(jobs) > 1 and (named or _is_of_ports(*likely[0], tree)):
        return _settled(*likely[0], jobs, tree, len(fits))
    readings = tuple(f"{table.label}: {one.said}; {one.mapped.said}" for table, one in likely)
    about = "which job each port carries"
    if len(jobs) == 1 and readings:
        about += " (one declared device with a port is too few to be sure)"
    ask = "teach it with one change: give one port one more job, dump before and after"
    return Solved(questions=(Question(about, readings, ask),))


def _named_ports(table: Table) -> bool:
    said = {*words_of(table.label), *(word for name in table.names for word in words_of(name))}
    return bool(said & _PORT_WORDS)


def _brought_out(fits: list[tuple[Table, Reading]], tree: sheet.Tree) -> list[tuple[Table, Reading]]:
    """Those whose ports are all brought out by the board, if there are such."""
    board = {*sheet.block(tree, "board", "ports"), "USB"}
    return [(table, one) for table, one in fits if set(one.mapped.ports.values()) <= board] or fits


def _is_of_ports(table: Table, reading: Reading, tree: sheet.Tree) -> bool:
    return any(_rate_fits(one, reading.mapped, tree) for one in table.fields)


# Names of ports


def mappings(names: Sequence[str], tree: sheet.Tree) -> Iterator[Mapped]:
    """Every way to read the names of a table as ports, no two alike."""
    seen: list[Mapping[str, str]] = []
    for made in _mappings(names, tree):
        if made.ports not in seen:
            seen.append(made.ports)
            yield made


def _mappings(names: Sequence[str], tree: sheet.Tree) -> Iterator[Mapped]:
    plain = {name: name.upper() for name in names if _PORT.fullmatch(name.upper())}
    if len(plain) < len(names) and any(port.startswith("UART") for port in plain.values()):
        plain = {}  # a uart0 beside a uart1: the numbers are not the chip's
    if len(plain) == len(names):
        yield Mapped(plain, "the names are the ports'")
        return
    for said, numbers in (("number", _numbers(names)), ("letter", _letters(names, skip=False)),
                          ("letter, without I", _letters(names, skip=True))):  # fmt: skip
        if not numbers:
            continue
        for first in (0, 1, -1, 2):
            ports = {**numbers, **plain}
            made = {
                name: port if isinstance(port, str) else _numbered(name, port + first)
                for name, port in ports.items()
            }
            if all(made.values()) and len(set(made.values())) == len(names) == len(made):
                shift = f" plus {first}" if first > 0 else f" less {-first}" if first else ""
                usb = ", 0 is USB" if "USB" in made.values() and "USB" not in ports.values() else ""
                yield Mapped(made, f"UART number = {said}{shift}{usb}")
    if not _may_name(names):
        return
    board = list(sheet.block(tree, "board", "ports"))
    for listed in (board, [port for port in board if port != "USB"]):
        if len(listed) == len(names) > 1:
            said = "in the order of the sheet's ports"
            yield Mapped(dict(zip(names, listed, strict=True)), said, by_order=True)


def _may_name(names: Sequence[str]) -> bool:
    """Whether texts may be names of ports: they are alike, and no bit rates."""
    kinds = {look.kind(name) for name in names}
    numbers = [look.whole(name) or 0 for name in names]
    rates = any(all(number * by in look.BAUDS for number in numbers) for by in (1, 100, 1000))
    return len(kinds) == 1 and not kinds & {"nothing", "decimal", "text", "quoted"} and not rates


def _own_mappings(table: Table, jobs: Mapping[str, tuple[str, ...]], tree: sheet.Tree) -> Iterator[Mapped]:
    """Ways to read a firmware's own numbers: as the sheet says, or by whose line has a device's rate.

    Ways that differ only in ports without a device are one: what those are is not written down.
    """
    told = sheet.port_numbers(tree)
    if jobs.keys() <= {*told.values()}:
        ports = {name: told.get(int(name), f"{UNMAPPED}{int(name)}") for name in table.names}
        yield Mapped(ports, "the numbers that the sheet's board has for its ports", own=True)
        return
    seen: list[Mapping[str, str]] = []
    for one in (*_by_rates(table, jobs, tree), *mappings(table.names, tree)):
        soldered = {name: port for name, port in one.ports.items() if port in jobs}
        known = {int(name): port for name, port in soldered.items()}
        if soldered not in seen and all(known.get(number, port) == port for number, port in told.items()):
            seen.append(soldered)
            yield Mapped(one.ports, one.said, own=True)


def _by_rates(table: Table, jobs: Mapping[str, tuple[str, ...]], tree: sheet.Tree) -> Iterator[Mapped]:
    """The one way in which each device's rate stands on one line, if every device has a rate of its own."""
    rates = {port: rate for port, (rate, _) in sheet.rates(tree).items() if port in jobs}
    if rates.keys() != jobs.keys():
        return
    for field in table.fields:
        for by in (1, 100, 1000):
            numbers = {name: look.whole(text) for name, text in field.texts.items()}
            lines = {
                port: [name for name, number in numbers.items() if number is not None and number * by == rate]
                for port, rate in rates.items()
            }
            if all(len(names) == 1 for names in lines.values()):
                ports = {names[0]: port for port, names in lines.items()}
                if len(ports) == len(rates):
                    free = [name for name in table.names if name not in ports]
                    usb = {name: "USB" for name in free if int(name) == 0 and "USB" not in rates}
                    rest = {name: f"{UNMAPPED}{int(name)}" for name in free}
                    said = f"by the rates in {field.label}" + (", 0 is USB" if usb else "")
                    yield Mapped({**ports, **rest, **usb}, said)


def _numbers(names: Sequence[str]) -> Mapping[str, int | str]:
    found: dict[str, int | str] = {}
    stems = set()
    for name in names:
        if name.lower() in ("usb", "vcp"):
            found[name] = "USB"
            continue
        digits = re.search(r"([0-9]{1,2})\D?$", name)
        if not digits:
            return {}
        stem = name[: digits.start()].lower().strip("_-.")
        stems.add(stem)
        if stem in ("lp", "lpuart", "lpu"):
            found[name] = f"LPUART{int(digits[1])}"
        elif stem in ("s", "soft", "ss") and len(stems) > 1:
            found[name] = f"SOFT{int(digits[1])}"
        else:
            found[name] = int(digits[1])
    return found


def _letters(names: Sequence[str], skip: bool) -> Mapping[str, int | str]:
    alphabet = "ABCDEFGHJKLMNOPQRSTUVWXYZ" if skip else "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    found: dict[str, int | str] = {}
    for name in names:
        letter = name.upper() if len(name) == 1 else ""
        if not letter or letter not in alphabet:
            return {}
        found[name] = alphabet.index(letter) + 1
    return found


def _numbered(name: str, number: int) -> str:
    return "USB" if number == 0 else f"UART{number}" if number > 0 else ""


# Jobs


def _readings(
    table: Table, jobs: Mapping[str, tuple[str, ...]], tree: sheet.Tree, own_numbers: bool
) -> Iterator[Reading]:
    plain = own_numbers and all(map(str.isdecimal, table.names)) and not _has_stem(table)
    for mapped in _own_mappings(table, jobs, tree) if plain else mappings(table.names, tree):
        if not jobs.keys() <= set(mapped.ports.values()):
            continue
        for field in table.fields:
            by_port = {mapped.ports[name]: text for name, text in field.texts.items()}
            rates = look.rates([*field.texts.values()]) or _rate_fits(field, mapped, tree)
            if jobs.keys() <= by_port.keys() and not rates:
                yield from _field_readings(mapped, field, by_port, jobs)


def _has_stem(table: Table) -> bool:
    """Whether the rows write letters before a port's number (``p4``): a name, as others have it."""
    (_, line, _), cell = table.named_by[0]
    words = re.split(r"[ ,]", line)
    return any(f"{{{cell}}}" in word and not word.startswith("{") for word in words[1:])


def _field_readings(
    mapped: Mapped, field: Field, by_port: Mapping[str, str], jobs: Mapping[str, tuple[str, ...]]
) -> Iterator[Reading]:
    hexes = {look.is_hex(text) for text in by_port.values()}
    numbers = {port: look.mask(text) for port, text in by_port.items()}
    if None not in numbers.values() and len(hexes) == 1:
        masks = {port: number for port, number in numbers.items() if number is not None}
        if made := _as_bits(mapped, field, masks, jobs, hexes == {True}):
            yield made
            return
    if hexes == {True}:
        return  # a number in hexadecimal is a mask
    if made := _as_words(mapped, field, by_port, jobs):
        yield made


def _as_bits(
    mapped: Mapped, field: Field, masks: Mapping[str, int], jobs: Mapping[str, tuple[str, ...]], is_hex: bool
) -> Reading | None:
    """Each job is a bit: set where its device is, and on no other port."""
    bits: dict[int, str] = {}
    for port, wanted in jobs.items():
        own = [n for n in range(masks[port].bit_length()) if masks[port] >> n & 1]
        if len(own) != 1 or len(wanted) != 1 or bits.setdefault(own[0], wanted[0]) != wanted[0]:
            return None
    if len(set(bits.values())) != len(bits):
        return None
    if not is_hex and (len(bits) < _JOBS_A_MASK or max(bits) < _BITS_A_MASK):
        return None  # 1, 4 and 8 may be running numbers as well
    others = {port: mask for port, mask in masks.items() if port not in jobs}
    if any(mask >> n & 1 for mask in others.values() for n in bits):
        return None
    usb = others.get("USB", 0)
    elsewhere = any(mask for port, mask in others.items() if port != "USB")
    usb_is_console = usb > 0 and usb & (usb - 1) == 0 and not elsewhere
    if usb_is_console:
        bits[usb.bit_length() - 1] = "console-link"
    known = sum(1 << n for n in bits)
    strange = tuple(f"{field.label} = {mask:#x} on {port}" for port, mask in others.items() if mask & ~known)
    if len([mask for mask in others.values() if mask & ~known]) > 1:
        return None  # a craft that flies has no jobs without devices
    spec = ", ".join(f"{n}: {bits[n]}" for n in sorted(bits))
    said = f"a mask in {field.label}: " + spoken([f"bit {n} is {bits[n]}" for n in sorted(bits)])
    written = ", written: hex" if is_hex else ""
    nothing = frozenset(text for text in field.texts.values() if look.mask(text) == 0)
    return Reading(
        mapped, field, f"{{bits: {{{spec}}}{written}}}", said, strange, {}, nothing, usb_is_console
    )


def _as_words(
    mapped: Mapped, field: Field, by_port: Mapping[str, str], jobs: Mapping[str, tuple[str, ...]]
) -> Reading | None:
    """Each job is a word or a number: where its device is, and on no other port."""
    sign = next((one for one in _SEPARATORS if any(one in text for text in by_port.values())), "")
    parts = {port: _parts(text, sign) for port, text in by_port.items()}
    words: dict[str, str] = {}
    for port, wanted in jobs.items():
        own = parts[port]
        if len(own) != 1 or len(wanted) != 1 or words.setdefault(own[0], wanted[0]) != wanted[0]:
            return None
    if len(set(words.values())) != len(words) or any(_is_nothing(word) for word in words):
        return None
    others = {port: own for port, own in parts.items() if port not in jobs}
    if any(one in words for own in others.values() for one in own):
        return None
    usb = others.pop("USB", ())
    idle = {" ".join(own) for own in others.values()}
    if len(idle) > 1 or any(len(own) > 1 for own in others.values()):
        return None
    empty = next(iter(idle), "")
    strange: tuple[str, ...] = ()
    usb_is_console = len(usb) == 1 and usb[0] != empty and len(words) > 1
    if usb_is_console:
        words[usb[0]] = "console-link"
    elif usb and usb != (empty,):
        strange = (f"{field.label} = {' '.join(usb)} on USB",)
    if not all(key and re.fullmatch(r"[^\"\t\r\n]{1,80}", key) for key in words) or '"' in empty:
        return None
    spec = ", ".join(f"{key_of(word)}: {job}" for word, job in words.items())
    said = f"{'numbers' if all(map(str.isdecimal, words)) else 'words'} in {field.label}: " + spoken(
        [f"{word} is {job}" for word, job in words.items()]
    )
    apart = f", separated: {inline(sign)}" if sign else ""
    nothing = f", empty: {inline(empty)}" if empty and " " not in empty else ""
    made = f"{{list: {{of: {{words: {{{spec}}}}}{apart}{nothing}}}}}"
    return Reading(mapped, field, made, said, strange, words, frozenset({empty}), usb_is_console)


def _is_nothing(word: str) -> bool:
    return word == "0" or word.lower() in look.NOTHING


def _parts(text: str, sign: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in (text.split(sign) if sign else text.split()) if part.strip())


# What was found


def _rate_fits(field: Field, mapped: Mapped, tree: sheet.Tree) -> str:
    """The spec of a field that holds the declared rates, or ""."""
    told = sheet.rates(tree)
    texts = {mapped.ports[name]: text for name, text in field.texts.items() if name in mapped.ports}
    for by in (1, 100, 1000):
        numbers = {port: look.whole(text) for port, text in texts.items()}
        checks = [
            (numbers[port] is not None and (numbers[port] or 0) * by == rate, receiver)
            for port, (rate, receiver) in told.items()
            if port in numbers
        ]
        sound = all(
            number is not None and (number * by in look.BAUDS or number == 0) for number in numbers.values()
        )
        if sound and any(fits for fits, _ in checks) and all(fits or receiver for fits, receiver in checks):
            return "integer" if by == 1 else _in_steps(by, texts.values())
    return ""


def _in_steps(by: int, texts: Iterable[str]) -> str:
    """Rates written in hundreds or thousands: as words, since a rate is a whole number."""
    common = (9600, 19200, 38400, 57600, 100000, 115200, 230400, 400000, 420000, 460800, 500000, 921600)
    told = {text: int(text) * by for text in texts} | {
        str(rate // by): rate for rate in common if not rate % by
    }
    words = ", ".join(
        f"{key_of(text)}: {rate}" for text, rate in sorted(told.items(), key=lambda one: one[1])
    )
    return f"{{words: {{{words}}}}}"


def _settled(
    table: Table, reading: Reading, jobs: Mapping[str, tuple[str, ...]], tree: sheet.Tree, fits: int
) -> Solved:
    mapped = reading.mapped
    spec = ", ".join(f"{key_of(name)}: {port}" for name, port in mapped.ports.items())
    told = spoken([f"{' and '.join(wanted)} on {port}" for port, wanted in jobs.items()])
    path = f"ports.{{{table.key}}}"
    doubt = f"no meaning known for {spoken(list(reading.open_words))}" if reading.open_words else ""
    declared = {one for many in jobs.values() for one in many}
    if "console-link" in reading.spec and "console-link" not in declared:
        doubt = "; ".join([doubt, "console-link is what a USB port is nearly always for"]).strip("; ")
    left = f"the only one of {fits} readings that is of ports" if fits > 1 else "the only reading that fits"
    unsaid = _unsaid(mapped, jobs, tree)
    spec = "port" if mapped.own else f"{{words: {{{spec}}}}}"
    untold = f"the sheet has not written {spoken(unsaid)} yet" if unsaid else ""
    guesses = [
        Guess(place, cell, spec, "", f"{mapped.said}: {left}", untold) for place, cell in table.named_by
    ]
    guesses.append(
        Guess(
            reading.field.place,
            reading.field.cell,
            reading.spec,
            f"{path}.functions",
            f"{reading.said}: {left} to the sheet's {told}",
            doubt,
        )
    )
    guesses += _rates_by_job(table, reading, tree)
    apart = {guess.place for guess in guesses}
    free = [one for one in table.fields if one.place not in apart or not one.is_setting]
    rate = [(one, how) for one in free if (how := _rate_fits(one, mapped, tree))]
    questions = []
    if unsaid:
        ask = "write them into the build sheet, so that reading a dump with it names the ports"
        questions.append(Question("which numbers of ports the sheet leaves out", tuple(unsaid), ask))
    if len(rate) == 1:
        said = spoken([f"{number} on {port}" for port, (number, _) in sheet.rates(tree).items()])
        field, how = rate[0]
        guesses.append(Guess(field.place, field.cell, how, f"{path}.rate_baud", f"holds the sheet's {said}"))
    elif rate:
        labels = tuple(one.label for one, _ in rate)
        questions.append(Question("which field holds a port's rate", labels, "change one port's rate"))
    return Solved(tuple(guesses), tuple(questions), tuple(_lessons(reading, jobs)))


def _unsaid(mapped: Mapped, jobs: Mapping[str, tuple[str, ...]], tree: sheet.Tree) -> list[str]:
    """What the sheet would say of the numbers of its devices' ports, and does not."""
    if not mapped.own:
        return []
    told = sheet.port_numbers(tree).values()
    return [
        f"board.ports.{port}.number: {int(name)}"
        for name, port in mapped.ports.items()
        if port not in told and (port in jobs or port == "USB")
    ]


def _lessons(reading: Reading, jobs: Mapping[str, tuple[str, ...]]) -> Iterator[Lesson]:
    """What is settled of each port's line: whatever is taught later must agree with it."""
    field = reading.field
    for name, port in reading.mapped.ports.items():
        text = field.texts.get(name, "")
        told = jobs.get(port, ())
        if port == "USB" and not told and reading.usb_is_console:
            told = ("console-link",)
        idle = text in reading.idle and port != "USB"
        called = f"{UNMAPPED}{int(name)}" if reading.mapped.own else port  # a lesson knows no board
        if name in field.said and (told or idle):
            yield Lesson(f"ports.{called}.functions = {', '.join(told) or 'none'}", field.said[name])


def _rates_by_job(table: Table, reading: Reading, tree: sheet.Tree) -> Iterator[Guess]:
    """Settings of a port that hold the rate for one job each, named by its word."""
    told = sheet.rates(tree)
    port_of = reading.mapped.ports
    by_stem: dict[str, list[tuple[Field, str]]] = {}
    for field in table.fields:
        word = next((word for word in reading.words if field.label.endswith(word)), "")
        stem = field.label.removesuffix(word)
        if word and field.is_setting and stem[-1:] in ("-", "_", ".", "/"):
            by_stem.setdefault(stem, []).append((field, reading.words[word]))
    for stem, fields in by_stem.items():
        numbers = [look.whole(text) for field, _ in fields for text in field.texts.values()]
        jobs = {job: port for port, many in sheet.jobs(tree).items() for job in many}
        checks = [
            look.whole(field.texts.get(name, "")) == told[port][0]
            for field, job in fields
            for name, port in port_of.items()
            if port in told and jobs.get(job) == port
        ]
        if len(checks) > 1 and all(checks) and all(number in look.BAUDS for number in numbers):
            for field, job in fields:
                why = f"the rates in {stem}… are the sheet's, each for the job whose word ends its name"
                yield Guess(field.place, "value", "integer", f"ports.{{{table.key}}}.rates_baud.{job}", why)

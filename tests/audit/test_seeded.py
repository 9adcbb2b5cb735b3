"""Faults sown into the samples' good dumps: found, mended without a trace, and taken back exactly."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import islice

import pytest

from cfgaudit.audit.audit import audit, evidence, judged
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.cases import Paper
from cfgaudit.audit.phrase import Phrase, phrase
from cfgaudit.audit.remedy import remedy
from cfgaudit.audit.rule import Rule
from cfgaudit.dialect.codec.codec import Codec, Misfit
from cfgaudit.dialect.codec.words import Words
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import write
from cfgaudit.model.model import nested
from cfgaudit.model.path import Path, dotted, parse
from cfgaudit.model.value import Scalar, Value
from tests.audit.bench import asked, reading_of, sample, sample_text, sheet, typed, values

GOOD = {craft: f"{craft}/known-good.txt" for craft in ("otter", "heron", "vole")}
RULES = shipped_rules()
MENDING = tuple(rule for rule in RULES if rule.mend)

Seed = tuple[tuple[Path, Value], ...]  # what a fault sets

# Faults that need a line which the good dumps do not have, or two lines at once.
NEW_LINES: dict[tuple[str, str], dict[str, Value]] = {
    ("otter", "serial/port-not-brought-out"): {"ports.UART2.functions": ("gnss",)},
    ("heron", "serial/port-not-brought-out"): {"ports.UART5.functions": ("gnss",)},
    ("otter", "serial/port-not-in-chip"): {"ports.UART8.functions": ("telemetry",)},
    ("otter", "motor/output-left-over"): {"outputs.7.motor": 7, "outputs.7.pin": "PD2"},
    ("heron", "motor/output-left-over"): {"outputs.9.motor": 7, "outputs.9.pin": "PD2"},
    ("vole", "serial/port-not-brought-out"): {"ports.PORT9.functions": ("gnss",)},
    ("vole", "motor/output-left-over"): {"outputs.7.motor": 7, "outputs.7.pin": "PB1"},
    ("vole", "motor/protocol-without-answer"): {
        "motors.bidirectional": True,
        "motors.protocol": "oneshot125",
    },
}
# Rules that the settings of these two craft cannot break, and why.
NOT_SOWN = {
    ("otter", "motor/esc-cannot-answer"): "its ESC answers",
    ("heron", "motor/esc-cannot-answer"): "its ESC answers",
    ("otter", "osd/standard-differs"): "no analogue camera is declared",
    ("heron", "osd/standard-differs"): "no analogue camera is declared",
    ("otter", "failsafe/home-without-gnss"): "it has a position receiver",
    ("heron", "failsafe/home-without-gnss"): "it has a position receiver",
    ("vole", "gnss/protocol-differs"): "it has no position receiver",
    ("vole", "gnss/update-rate"): "it has no position receiver",
    ("otter", "logging/port-not-used"): "no logger hangs on a port",
    ("heron", "logging/port-not-used"): "no logger hangs on a port",
    ("vole", "logging/port-not-used"): "no logger hangs on a port",
    ("otter", "osd/without-sensor"): "what it lacks no element of the firmware needs",
    ("heron", "osd/without-sensor"): "every sensor is on board",
    ("otter", "sensor/switched-off"): "no such sensor is on board",
    ("heron", "sensor/not-there"): "both sensors are on board",
    ("otter", "video/not-steered"): "its video unit is steered by nobody",
    ("heron", "video/not-steered"): "its video unit is steered by nobody",
    ("otter", "sensor/alignment"): "no magnetometer of its own is declared",
    ("vole", "sensor/alignment"): "no magnetometer of its own is declared",
    ("heron", "serial/port-not-in-chip"): "the firmware has no name for a port that this chip lacks",
    ("vole", "osd/canvas-not-drawn"): "no digital video is declared",
    ("vole", "serial/port-not-in-chip"): "all numbers are those of ports that the chip has",
}


@pytest.mark.parametrize("craft", GOOD)
@pytest.mark.parametrize("rule", MENDING, ids=lambda rule: rule.id)
def test_what_is_sown_is_found_mended_and_taken_back(craft: str, rule: Rule) -> None:
    sown = seeds(craft, rule.id)
    for seed in sown:
        found, left, undone = proven(craft, seed)
        assert rule.id in found, seed
        assert not left, seed
        assert undone, seed
    assert bool(sown) == ((craft, rule.id) not in NOT_SOWN)


def test_how_many_were_sown() -> None:
    sown = {(craft, seed) for craft in GOOD for rule in MENDING for seed in seeds(craft, rule.id)}
    print(len(sown), "faults sown")
    assert len(sown) >= 100
    assert {id for _, id in {*NOT_SOWN, *NEW_LINES}} <= {rule.id for rule in MENDING}


@cache
def proven(craft: str, seed: Seed) -> tuple[frozenset[str], tuple[object, ...], bool]:
    """The rules that find a fault; what is left when its mends were typed; whether undo undoes them."""
    faulty, build = planted(craft, seed), sheet(craft)
    first = audit(faulty, build, RULES)
    mends = remedy(faulty, build, RULES, first)
    mended = typed(faulty, mends.lines)
    undone = typed(mended, mends.undo)
    last = audit(mended, build, RULES)
    return (
        frozenset(one.rule for root in first.findings for one in (root, *root.follows)),
        (*last.findings, *last.not_judged, *(asked(RULES) - {*last.holding}), *mends.cannot),
        values(undone) == values(faulty) and texts(undone) == texts(faulty),
    )


def texts(reading: Reading) -> dict[str, Value]:
    """The settings outside the vocabulary."""
    return {name: leaf.value for name, leaf in reading.model.settings.items()}


def planted(craft: str, seed: Seed) -> Reading:
    """The good dump with the lines of some leaves written anew, or added at its end."""
    good = sample(GOOD[craft])
    lines = sample_text(GOOD[craft]).splitlines(keepends=True)
    new = {path: value for path, value in seed if path not in good.givers}
    for path, value in seed:
        if path in good.givers:
            written = [line for line in write(good, {path: value}).lines if not line.startswith("[")]
            (lines[good.givers[path].statement.line - 1],) = (f"{line}\n" for line in written)
    lines += [f"{line}\n" for line in write(good, new).lines]
    faulty = reading_of("".join(lines), board=sheet(craft))
    assert (faulty.repeats, faulty.unknown, faulty.doubts) == ((), (), ())
    told = values(faulty)
    assert {path: told.get(path) for path, _ in seed} == dict(seed)
    assert {path for path, value in values(good).items() if told.get(path) != value} <= {*dict(seed)}
    return faulty


# Where the faults come from


@cache
def seeds(craft: str, id: str) -> tuple[Seed, ...]:
    """For each path that a rule mends or points at, one way to break the rule there.

    For the heron and the vole, whose part it is to show the other dialects, one way for each rule.
    """
    (rule,) = (one for one in MENDING if one.id == id)
    if lines := NEW_LINES.get((craft, id)):
        return (tuple((parse(path), value) for path, value in lines.items()),)
    templates = [wish.path for wish in rule.mend]
    templates += [path for path in rule.found if path.start == "model"]
    firsts = (next(sprouting(craft, rule, template), None) for template in templates)
    most = None if craft == "otter" else 1
    return tuple(dict.fromkeys(islice((seed for seed in firsts if seed), most)))


def sprouting(craft: str, rule: Rule, template: Phrase) -> Iterator[Seed]:
    """Changes at paths of a template that the rule, by itself, finds fault with."""
    good = sample(GOOD[craft])
    pattern = re.compile(pattern_of(template))
    paths = [path for path in good.givers if pattern.fullmatch(dotted(path))]
    turn = len(rule.id) % max(1, len(paths))  # so that not all rules look at the first port only
    for path in [*paths[turn:], *paths[:turn]]:
        for seed in changes(good, path):
            if breaks(craft, rule, seed) and write(good, dict(seed)).complete:
                yield seed


def breaks(craft: str, rule: Rule, seed: Seed) -> bool:
    """Whether a rule finds fault with the good model once these leaves are changed."""
    model = nested((values(sample(GOOD[craft])) | dict(seed)).items())
    return bool(judged((rule,), evidence((rule,), model, sheet(craft).tree, {}, Paper())).findings)


def pattern_of(template: Phrase) -> str:
    """``ports.{port.id}.functions`` → the paths that it can become. What is empty leaves no dot behind."""
    parts = [re.escape(part) if isinstance(part, str) else "[^.]+" for part in template.parts]
    return "".join(parts).removeprefix(r"model\.").replace(r"\.[^.]+\.[^.]+", r"\.[^.]+(\.[^.]+)?")


def test_a_pattern_is_the_paths_of_its_template() -> None:
    for text, path in (
        ("osd.drive", "osd.drive"),
        ("model.ports.{a}.functions", "ports.UART1.functions"),
        ("ports.{a}.{b}.{c}", "ports.UART1.rate_baud"),
        ("ports.{a}.{b}.{c}", "ports.UART1.rates_baud.gnss"),
    ):
        assert re.fullmatch(pattern_of(phrase(text, ("a", "b", "c"))), path)


def changes(good: Reading, path: Path) -> Iterator[Seed]:
    """Other values that a leaf of a good dump might have, and two lists that change places."""
    told = values(good)
    held = told[path]
    alike = {other: value for other, value in told.items() if kin(path, other) and value != held}
    for value in dict.fromkeys([*others(good, path, held), *alike.values()]):
        if value != held:
            yield ((path, value),)
    for other, value in alike.items():
        if isinstance(held, tuple) and other in good.givers:
            yield (path, value), (other, held)


def as_read(codec: Codec, words: tuple[Scalar, ...]) -> Value:
    """A list in the order in which a dump gives it back; as it is if a dump cannot hold it."""
    try:
        read = codec.read(codec.write(words))
    except Misfit:
        return words
    return words if isinstance(read, Mapping) else read


def kin(path: Path, other: Path) -> bool:
    return (path[0], path[-1], len(path)) == (other[0], other[-1], len(other))


def others(good: Reading, path: Path, held: Value) -> Iterator[Value]:
    form, gift = next((form, gift) for _, form, gift, _ in good.dialect.giving(path))
    cell = form.cells[gift.cell]
    match held:
        case bool():
            yield not held
        case tuple():
            for words in ((), (*held, "telemetry"), (*held, "msp"), ("gnss",)):
                yield as_read(cell.codec, words)
        case str() if isinstance(cell.codec, Words):
            yield from cell.codec.values.values()
        case str():
            yield from ("none", held[::-1], "vole")
        case int() | float():
            yield from islice((cell.range.low, cell.range.high), 2 if cell.range.high < float("inf") else 0)
            yield from (held + 1, held - 1, 0, held * 2, 31, 62, 900, 2100, 38400)

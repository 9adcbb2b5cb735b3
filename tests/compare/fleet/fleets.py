"""Fleets made from the samples: each craft a good dump with harmless changes, and in some of them faults."""

from __future__ import annotations

import pathlib
from collections.abc import Iterator
from functools import cache
from random import Random

from tests.faults.catalogue import KINDS
from tests.faults.harmless import harmless
from tests.faults.measure import CRAFTS
from tests.faults.plant import Craft, Planted, planted
from tests.house.checkout import ROOT

HARMLESS = 5  # changes of a craft, at most
FAULTS = 3  # of a faulty craft, at most
FAULTY = 0.3  # of all craft

Change = tuple[int, str]  # a line's number, and what stands there instead


@cache
def changes_of(craft: Craft) -> tuple[Change, ...]:
    """Single lines written anew that no rule minds."""
    return tuple(_line(one) for one in harmless(craft, most=60) if one.line)


@cache
def faults_of(craft: Craft) -> tuple[Change, ...]:
    """Single lines written anew that some rule minds: of each kind of fault the first few."""
    return tuple(_line(one) for one in _planted(craft, Random(1)))


def _planted(craft: Craft, dice: Random) -> Iterator[Planted]:
    for kind in KINDS:
        some = list(dict.fromkeys(kind.sow(craft, dice)))
        for path, value in dice.sample(some, min(2, len(some))):
            if fault := planted(craft, path, value):
                yield fault


def _line(one: Planted) -> Change:
    return one.line, one.reading.dump.statements[one.line - 1].text


def dump_of(craft: Craft, name: str, dice: Random) -> str:
    """A good dump of a craft of another name, with some of its lines changed."""
    lines = list(craft.lines)
    new = dice.sample(changes_of(craft), dice.randint(0, HARMLESS))
    if dice.random() < FAULTY:
        new += dice.sample(faults_of(craft), dice.randint(1, FAULTS))
    for number, text in new:
        lines[number - 1] = text if text.endswith("\n") else f"{text}\n"
    return "".join(lines).replace(craft.name, name)


def sheet_of(craft: Craft, name: str) -> str:
    """The build sheet of a craft of another name."""
    return (ROOT / "samples" / craft.name / "build.yaml").read_text("utf-8").replace(craft.name, name)


def make_fleet(folder: pathlib.Path, count: int, seed: int = 1) -> None:
    """So many craft in folders of their own, the samples taking turns."""
    dice = Random(seed)
    for n in range(count):
        craft = CRAFTS[n % len(CRAFTS)]
        name = f"{craft.name}-{n + 1:04d}"
        home = folder / name
        home.mkdir(parents=True)
        (home / "build.yaml").write_text(sheet_of(craft, name), "utf-8")
        (home / "dump.txt").write_text(dump_of(craft, name, dice), "utf-8")

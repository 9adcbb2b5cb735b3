"""Laws of merging baselines: which changes arrive, which are told to be in each other's way."""

from __future__ import annotations

from functools import cache
from random import Random

import pytest
from msgspec.structs import replace

import cfgaudit
from cfgaudit.baseline.facts import Facts
from cfgaudit.baseline.merge import NOT_AUDITED, Both, merge, nothing_of, why_not
from cfgaudit.baseline.text import baseline_text
from cfgaudit.dialect.canonical import as_written
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.setting import is_whole, settings
from tests.compare.carry.builder import at_work
from tests.house.checkout import ROOT

DUMPS = ("otter/known-good.txt", "heron/known-good.txt", "vole/known-good.txt", "vole/changed-only.txt")
SEEDS = range(6)
FACTS = Facts("otter", "2026-05-01T10:00:00+00:00", "0.1.0", "dump.txt", "a" * 64, "no findings", "as built")
LATER = Facts("otter", "2026-06-01T10:00:00+00:00", "0.1.0", "late.txt", "b" * 64, "no findings", "as flown")


def read(text: str) -> Reading:
    return cfgaudit.read_dump("a.txt", data=text.encode())


def recorded(reading: Reading, facts: Facts = FACTS) -> Reading:
    return read(baseline_text(reading, facts, private=True))


@cache
def known_good(name: str) -> Reading:
    return recorded(cfgaudit.read_dump(str(ROOT / "samples" / name)))


def changed(reading: Reading, dice: Random, share: float, facts: Facts = FACTS) -> Reading:
    own = replace(reading, entries=tuple(one for one in reading.entries if not one.factory))
    return recorded(read(at_work(own, dice, share).text), facts)


def said(reading: Reading) -> dict[object, object]:
    """What is set, one by one; lines that mean something only together by the line."""
    told: dict[object, object] = {}
    for entry in reading.entries:
        if entry.opens:
            told[entry.slot] = True
        elif is_whole(entry.form):
            told[entry.slot] = as_written(entry)
        else:
            told |= {one.key: one.value for one in settings(entry.slot, entry, whole=False)}
    return told


def by_setting(lines: tuple[str | Both, ...]) -> list[str | Both]:
    """The lines below the facts."""
    return [*lines][[*lines].index("") :]


def turned(lines: list[str | Both]) -> list[str | Both]:
    return [Both(one.theirs, one.ours) if isinstance(one, Both) else one for one in lines]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", DUMPS)
def test_one_side_alone_arrives_as_it_is(name: str, seed: int) -> None:
    base = known_good(name)
    mine = changed(base, Random(seed), 0.1, LATER)
    for made in (merge(base, mine, base), merge(base, base, mine), merge(base, mine, mine)):
        assert made.conflicts == 0
        assert made.text(7) == mine.dump.text


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("share", [0.03, 0.3])
@pytest.mark.parametrize("name", DUMPS)
def test_two_sides(name: str, share: float, seed: int) -> None:
    base = known_good(name)
    mine = changed(base, Random(seed), share)
    other = changed(base, Random(seed + 1000), share, LATER)
    made = merge(base, mine, other)
    assert by_setting(made.lines) == turned(by_setting(merge(base, other, mine).lines))
    was, has, comes = said(base), said(mine), said(other)
    keys = {*was, *has, *comes}
    both = {key for key in keys if was.get(key) != has.get(key) != comes.get(key) != was.get(key)}
    assert bool(made.conflicts) == bool(both)
    if both:
        for side, text in ((has, "ours"), (comes, "theirs")):
            chosen = "".join(
                f"{getattr(one, text) if isinstance(one, Both) else one}\n" for one in made.lines
            )
            arrived = said(read(chosen))
            assert all(arrived.get(key) == side.get(key) for key in both)
        return
    union = {key: has.get(key) if has.get(key) != was.get(key) else comes.get(key) for key in keys}
    arrived = read(made.text(7))
    assert said(arrived) == {key: value for key, value in union.items() if value is not None}
    assert baseline_text(arrived, LATER, private=True) == baseline_text(
        read(merge(base, other, mine).text(7)), LATER, private=True
    )


def edited(base: Reading, *steps: tuple[str, str], facts: Facts = FACTS) -> Reading:
    text = baseline_text(base, facts, private=True)
    for old, new in steps:
        assert old in text
        text = text.replace(old, new)
    return read(text)


def test_neighbouring_lines_and_cells_of_one_line() -> None:
    base = known_good("otter/known-good.txt")
    mine = edited(
        base, ("volts.warn := 350", "volts.warn := 355"), ("does 0x10 at 115200", "does 0x10 at 57600")
    )
    other = edited(
        base, ("volts.full := 420", "volts.full := 435"), ("u6 does 0x10", "u6 does 0x11"), facts=LATER
    )
    made = merge(base, mine, other)
    assert made.conflicts == 0
    text = made.text(7)
    assert "volts.full := 435\nvolts.warn := 355\n" in text
    assert "link u6 does 0x11 at 57600\n" in text
    assert f"~ baseline audited: {NOT_AUDITED}\n" in text
    assert "recorded 2026-06-01T10:00:00+00:00" in text


def test_both_changed_one_setting() -> None:
    base = known_good("otter/known-good.txt")
    mine = edited(base, ("pin C8", "pin C9"), ("volts.full := 420", "volts.full := 430"))
    other = edited(base, ("out 3 turns m3 pin C8", "out 3 turns m3 pin C6"), facts=LATER)
    made = merge(base, mine, other)
    assert made.conflicts == 1
    marked = "<<<<<<<<< ours\nout 3 turns m3 pin C9\n=========\nout 3 turns m3 pin C6\n>>>>>>>>> theirs\n"
    assert marked in made.text(9)
    assert "volts.full := 430\n" in made.text(9)


def test_a_line_that_one_side_dropped() -> None:
    base = known_good("otter/known-good.txt")
    mine = edited(base, ("lamp 8 sits 15 15 shows tail\n", ""))
    other = edited(base, ("volts.full := 420", "volts.full := 430"))
    assert "lamp 8 sits" not in merge(base, mine, other).text(7)
    other = edited(base, ("lamp 8 sits 15 15", "lamp 8 sits 14 15"))
    (both,) = (one for one in merge(base, mine, other).lines if isinstance(one, Both))
    assert both == Both("", "lamp 8 sits 14 15 shows tail")


def test_profiles_keep_their_own_lines() -> None:
    base = known_good("otter/known-good.txt")
    one, two = ("grip.roll := 52", "grip.roll := 60"), ("grip.roll := 46", "grip.roll := 40")
    arrived = read(merge(base, edited(base, one), edited(base, two, facts=LATER)).text(7))
    assert said(arrived) == said(edited(base, one, two))


def test_the_profile_in_use() -> None:
    base = known_good("otter/known-good.txt")
    text = baseline_text(base, FACTS, private=True)
    mine = read(text.removesuffix("tune 1\n") + "tune 2\n")
    made = merge(base, mine, edited(base, ("volts.full := 420", "volts.full := 430")))
    assert made.text(7).endswith("\n\ntune 2\n")


def test_lines_that_nobody_understands_and_remarks() -> None:
    base = edited(
        known_good("otter/known-good.txt"),
        ("\ntune 1\ntune.called", "mystery a\nmystery b\n\ntune 1\ntune.called"),
    )
    first = edited(base, ("mystery a\n", ""))
    second = edited(base, ("mystery b\n", "mystery b\nmystery c\n~ ask Wren about it\n"))
    for made in (merge(base, first, second), merge(base, second, first)):
        assert made.conflicts == 0
        assert "mystery a" not in made.text(7)
        assert "mystery b\nmystery c\n" in made.text(7)
    kept = read(base.dump.text.replace("mystery b\n", "mystery b\n~ ask Wren about it\n"))
    assert "mystery b\n~ ask Wren about it\n" in merge(base, first, kept).text(7)


def test_both_sides_are_new() -> None:
    mine = known_good("otter/known-good.txt")
    other = edited(mine, ("volts.full := 420", "volts.full := 430"))
    base = nothing_of(mine)
    assert why_not(base, mine, other) == ""
    assert merge(base, mine, mine).text(7) == mine.dump.text
    (both,) = (one for one in merge(base, mine, other).lines if isinstance(one, Both))
    assert both == Both("volts.full := 420", "volts.full := 430")


def test_notes_are_joined() -> None:
    base = known_good("otter/known-good.txt")
    mine = edited(base, ("volts.full := 420", "volts.full := 430"), ("note: as built", "note: fuller"))
    other = edited(base, ("volts.warn := 350", "volts.warn := 355"), facts=LATER)
    for made in (merge(base, mine, other), merge(base, other, mine)):
        assert "~ baseline note: fuller; as flown\n" in made.text(7)
        assert "~ baseline from: two records, merged\n" in made.text(7)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("plover 4.1.2", "plover 4.2.0"),
        ("/ everything", "/ changed"),
        ("~ baseline of: otter, recorded", "~ baseline off: otter, recorded"),
    ],
)
def test_what_only_git_can_merge(old: str, new: str) -> None:
    base = known_good("otter/known-good.txt")
    other = read(base.dump.text.replace(old, new))
    assert why_not(base, base, other)
    assert why_not(base, base, known_good("heron/known-good.txt"))


@pytest.mark.parametrize("data", [b"\xef\xbb\xbf%s", b"%s~ \xe9\n", b"%s~ \x1b[31mred\x1b[0m\n"])
def test_texts_that_would_be_written_otherwise(data: bytes) -> None:
    base = known_good("otter/known-good.txt")
    other = cfgaudit.read_dump("a.txt", data=data % base.dump.text.encode())
    assert why_not(base, base, other) == "one of the texts is not as cfgaudit writes it"


def test_two_seeds_in_three_merge_without_a_word() -> None:
    """The laws above are not kept by conflicts alone."""
    base = known_good("otter/known-good.txt")
    pairs = [[changed(base, Random(seed), 0.01) for seed in (n, n + 1000)] for n in range(30)]
    made = [merge(base, *pair) for pair in pairs]
    assert sum(one.conflicts == 0 for one in made) >= 20

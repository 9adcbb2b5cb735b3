"""How the files of a firmware update go together, and what is to be known where they do not."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.compare.carry.three import is_one_firmware
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.model import Leaf
from cfgaudit.report.carry.paper import CarryNote


def carry_notes(old: Reading, mine: Reading, new: Reading, after: tuple[Reading, ...]) -> Iterator[CarryNote]:
    """What a person should know of the files before they believe the plan."""
    yield from _before(old, mine)
    yield from _update(mine, new)
    for name, one in (("old", old), ("new", new)):
        if one.extent is Extent.CHANGED:
            yield CarryNote(
                f"The {name} factory dump tells changed settings only, so somebody had changed them: it is "
                "not what the firmware comes with. The dialect's defaults stand for what it does not tell.",
                warns=True,
            )
    if mine.extent is Extent.CHANGED:
        yield CarryNote("Your dump tells changed settings only: the old factory dump stands for the others.")
    for one in after:
        if not _alike(one, new, "name", "version"):
            said = f"{_firmware(one)}, and the plan is for {_firmware(new)}"
            yield CarryNote(
                f"The later dump is of {said}: what differs may be the version's doing.", warns=True
            )


def _before(old: Reading, mine: Reading) -> Iterator[CarryNote]:
    if not _alike(old, mine, "name", "version"):
        said = f"The old factory dump is of {_firmware(old)}, yours of {_firmware(mine)}"
        what = "what differs may be the firmware's doing, and not a change of yours"
        yield CarryNote(f"{said}: {what}. Best is an untouched dump of {_firmware(mine)}.", warns=True)
    if not _alike(old, mine, "board"):
        said = f"The old factory dump is of {_word(old, 'board')}, yours of {_word(mine, 'board')}"
        yield CarryNote(f"{said}: pins and ports of another board count as changes of yours.", warns=True)


def _update(mine: Reading, new: Reading) -> Iterator[CarryNote]:
    if not is_one_firmware(mine, new):
        yield CarryNote(
            f"Another firmware: {mine.dialect.name} and {new.dialect.name} are held together by what their "
            "settings mean. What only one of them has a word for has no counterpart."
        )
    elif _alike(mine, new, "version") and _word(mine, "version"):
        yield CarryNote(f"The new factory dump is of the version that you have, {_firmware(new)}.")
    if not _alike(mine, new, "board") or not _alike(mine, new, "mcu"):
        said = f"Your dump is of {_board(mine)}, the new factory dump of {_board(new)}"
        yield CarryNote(f"{said}: pins, ports and timers may lie elsewhere. Check each of them.", warns=True)


def _alike(one: Reading, other: Reading, *keys: str) -> bool:
    """Whether two dumps say the same of these, or one says nothing."""
    pairs = ((_word(one, key), _word(other, key)) for key in keys)
    return all(a == b or not a or not b for a, b in pairs)


def _board(reading: Reading) -> str:
    return " with ".join(filter(None, (_word(reading, "board"), _word(reading, "mcu"))))


def _firmware(reading: Reading) -> str:
    return " ".join(filter(None, (_word(reading, "name"), _word(reading, "version")))) or reading.dialect.name


def _word(reading: Reading, key: str) -> str:
    leaf = reading.model.at(("firmware", key))
    return str(leaf.value) if isinstance(leaf, Leaf) else ""

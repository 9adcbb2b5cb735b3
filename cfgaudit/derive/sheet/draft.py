"""One dump → a first build sheet, for the builder to correct against the solder joints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from cfgaudit.derive.mcu.section import uses_of
from cfgaudit.derive.mcu.solve import Clash
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.sheet.craft import craft
from cfgaudit.derive.sheet.entry import Entry, checked, data_of
from cfgaudit.derive.sheet.paper import comment, yaml_lines
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import Tree, word
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build, build_from, normalise

_WARNING = """
A sheet that was drafted from a dump proves nothing until a person has looked at every line. It says what the
dump says, and not what is soldered: a fault of the dump is a fault here, and an audit of that dump by this
sheet cannot find it.
"""
_STEPS = (
    """
    Battery unplugged, propellers off, the craft in front of you: hold each line against solder joints, labels
    and manuals. Beside or above it stands the line of the dump that it was taken from, and after “look:” what
    to look at.
    """,
    "Correct what is otherwise, and take the remark away when you have looked.",
    """
    A line behind a # without a blank (#kv: 1900) is what the dump cannot tell, with an example that is not
    yours. Put your own value there and take the # away, or leave it: what needs it is then not judged.
    """,
)


class Draft(Struct, frozen=True):
    """A drafted sheet: its YAML, the sheet as it reads back, and how many lines it has of each kind."""

    text: str
    build: Build
    taken: int  # lines that say something
    to_fill_in: int


def draft(reading: Reading) -> Draft:
    """A draft from a reading. Raises Refusal if the dump tells nothing that a sheet could say."""
    told = Told(reading)
    entries = checked(craft(told))
    if (dma := _dma(told.model, normalise(data_of(entries)))) is not None:
        entries = checked(craft(told, dma))
    taken = sum(one.stands for one in _all_lines(entries))
    if not reading.understood or not taken:
        what = f"read as {reading.dialect.name}, this dump tells nothing that a build sheet could say"
        raise Refusal(what, "name its dialect with --dialect", Place(reading.dump.file, 1, 1))
    text = "".join(f"{line.rstrip()}\n" for line in (*_top(reading), *yaml_lines(entries)))
    to_fill_in = sum(not one.told for one in _all_lines(entries))
    return Draft(text, build_from(read_yaml(text, f"the draft from {reading.dump.file}")), taken, to_fill_in)


def _all_lines(entries: Iterable[Entry]) -> Iterator[Entry]:
    for one in entries:
        if one.inner:
            yield from _all_lines(one.inner)
        elif one.key:
            yield one


def _top(reading: Reading) -> Iterator[str]:
    model = reading.model.tree
    firmware = " ".join(filter(None, (word(model, "firmware", "name"), word(model, "firmware", "version"))))
    named = firmware or "firmware not named"
    read = f"{named}, read as {reading.dialect.name}"
    yield from comment(f"A draft of a build sheet, made from {reading.dump.file} ({read}).")
    yield "#"
    yield from comment(_folded(_WARNING))
    for number, step in enumerate(_STEPS, 1):
        yield from comment(_folded(step), "", f"  {number}. ")
    if reading.unknown:
        count = len(reading.unknown)
        lines = "1 line of the dump has" if count == 1 else f"{count} lines of the dump have"
        yield from comment(f"{lines} no meaning in this dialect: what they tell is not here.")
    yield from comment("Before a battery is connected: polarity and voltage by meter.")
    yield ""


def _folded(text: str) -> str:
    return " ".join(text.split())


def _dma(model: Tree, build: Tree) -> Entry | None:
    """That ports are moved by interrupts, where the chip has no DMA channels for all of them at once.

    Without it every port with a device counts as moved by DMA, and the draft would contradict itself.
    """
    uses = uses_of(model, build)
    if isinstance(uses, Missing) or not isinstance(uses.dma, Clash):
        return None
    clashing = [one.name for one in uses.traffic if one.name in uses.dma.tasks]
    if not clashing:
        return None
    look = (
        f"the {uses.chip.name} cannot serve all outputs and ports by DMA at once: {', '.join(clashing)} "
        "would find no channel. If the craft flies with this dump, its firmware moves ports by interrupts: "
        "its manual says which"
    )
    return Entry("dma", {"ports": "none"}, look=look)

"""One setting by itself, in a builder's words: what stands alone in a line of a listing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from cfgaudit.compare.private import PRIVATE
from cfgaudit.compare.words import Topic, label, topic_of, with_unit
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.seal import SHOWN_DIGITS, is_seal
from cfgaudit.model.model import HIDDEN, Leaf, Model
from cfgaudit.model.order import by_path, natural
from cfgaudit.model.path import Path
from cfgaudit.model.place import Default, Place
from cfgaudit.model.value import spoken


class Told(Struct, frozen=True):
    """A setting and what it is set to. Of a private one ``value`` says only that it is one."""

    subject: str  # motor 3
    what: str  # pin; "" where the subject says it all
    value: str
    line: str  # the firmware's own name of its line; "" where that is the subject
    private: bool = False

    @property
    def name(self) -> str:
        """Subject and what."""
        return f"{self.subject} {self.what}".rstrip()


def in_words(reading: Reading, path: Path, leaf: Leaf) -> Told:
    """A leaf of the model. ``value`` carries its unit."""
    giver = reading.givers.get(path)
    subject, what = _named(reading.model, path)
    value = spoken(leaf.value) if path[:2] == ("osd", "elements") else with_unit(path, leaf.value)
    if path[0] == "outputs" and path[-1] == "motor":
        value = f"motor {value}"
    return _told(reading, subject, what, value, giver.label if giver else "", leaf, path)


def outside(reading: Reading, name: str, leaf: Leaf) -> Told:
    """A setting that the vocabulary has no word for, as its firmware writes it."""
    return _told(reading, name, "", str(leaf.value), "", leaf, ())


def every_path(reading: Reading) -> Iterator[tuple[Path, Told]]:
    """What a text itself tells of the vocabulary, by path: neither defaults nor the firmware's limits."""
    for path in sorted(reading.model.leaves, key=by_path):
        leaf = reading.model.leaves[path]
        if not isinstance(leaf.origin, Default):
            yield path, in_words(reading, path, leaf)


def every_other(reading: Reading) -> Iterator[Told]:
    """What a text itself tells outside the vocabulary, by name."""
    for name in sorted(reading.model.settings, key=natural):
        leaf = reading.model.settings[name]
        if not isinstance(leaf.origin, Default):
            yield outside(reading, name, leaf)


def sealed_words(text: str) -> str:
    """How a seal is told from another one."""
    return f"(private, sealed …{text.strip(chr(34))[-SHOWN_DIGITS:]})"


def _told(reading: Reading, subject: str, what: str, value: str, line: str, leaf: Leaf, path: Path) -> Told:
    text = str(leaf.value)
    if is_seal(text):
        return Told(subject, what, sealed_words(text), line, private=True)
    is_private = _is_private(reading, path, leaf)
    if is_private and leaf.value not in ("", ()):
        return Told(subject, what, HIDDEN, line, private=True)
    return Told(subject, what, value or "(empty)", line, private=is_private)


def _is_private(reading: Reading, path: Path, leaf: Leaf) -> bool:
    """Whether a value may not be shown: its dialect says so, or says nothing and the path is of that kind."""
    at = leaf.origin
    if isinstance(at, Place) and (at.file, at.line) in reading.private_lines:
        return True
    giver = reading.givers.get(path)
    marked = giver is not None and any(cell.private for cell in giver.form.cells.values())
    return path in PRIVATE and not marked


def _named(model: Model, path: Path) -> tuple[str, str]:
    """Subject and what of a leaf."""
    if path[0] == "outputs" and len(path) == 3:
        return _output(model, path)
    if path[0] == "modes" and len(path) == 4:
        return f"mode {_words(path[1])}", f"range {path[2]} {label(path, 3)}"
    for stem, topic in _ROWS.items():
        if path[: len(stem)] == stem and len(path) > topic.skip:
            return topic.named(path), label(path, topic.skip)
    topic = topic_of(path)
    return topic.named(path), label(path, topic.skip)


_ROWS: Mapping[Path, Topic] = {
    ("osd", "elements"): Topic("OSD {2}", 3, False, ()),
    ("mixer",): Topic("mixer of motor {1}", 2, False, ()),
    ("profiles",): Topic("profile {1}", 2, False, ()),
    ("rates",): Topic("rates {1}", 2, False, ()),
}


def _output(model: Model, path: Path) -> tuple[str, str]:
    """A motor's own output is spoken of by the motor."""
    motor = model.leaves.get((*path[:2], "motor"))
    if path[2] == "motor":
        return f"output {path[1]}", "turns"
    return f"motor {motor.value}" if motor else f"output {path[1]}", label(path, 2)


def _words(key: str) -> str:
    return key.replace("_", " ")

"""Settings with one value: what a sheet tells, and what says itself."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from cfgaudit.dialect.draft import look, sheet
from cfgaudit.dialect.draft.group import Group, Guess, Question, Solved, words_of
from cfgaudit.dialect.draft.spell import key_of

# Words for a link to the receiver that mean nothing else in a configuration.
LINKS = frozenset({"crsf", "sbus", "ibus", "sumd", "ghst", "fport", "srxl2", "ppm"})
_DSHOT = re.compile(r"dshot[-_ ]?(150|300|600|1200)", re.IGNORECASE)
_CELL_VOLTS = (2.5, 4.5)
_SCALES = (("decimal: 0.01", 0.01), ("decimal: 0.001", 0.001), ("decimal: 0.1", 0.1))


class Setting(Struct, frozen=True):
    """A setting with one value that the whole dump agrees on, and the words of its name and scope."""

    group: Group
    value: str
    words: frozenset[str]

    @property
    def label(self) -> str:
        return f"{self.group.opens} / {self.group.line}" if self.group.opens else self.group.line

    @property
    def plain(self) -> str:
        """The value without quotes."""
        quoted = len(self.value) > 1 and self.value[0] == self.value[-1] == '"'
        return self.value[1:-1] if quoted else self.value


def settings(groups: Iterable[Group]) -> tuple[Setting, ...]:
    """The settings that stand outside of every scope, or in one that stands for one thing."""
    return tuple(
        Setting(
            group,
            group.rows[-1][0],
            frozenset({*words_of(group.line), *(words_of(group.opens) if group.opens else ())}),
        )
        for group in groups
        if group.is_setting and "{" not in group.opens
    )


def solve_facts(found: Sequence[Setting], tree: sheet.Tree) -> Solved:
    """Every setting whose meaning its value or its name and the sheet settle."""
    parts = [
        _names_itself(found, "receiver.link", LINKS, {"none"}),
        _dshot(found),
        _order(found, sheet.text(tree, "radio", "channel_order")),
        _names_itself(found, "gnss.protocol", {"ubx", "nmea"}, set()),
        _volts(found),
        *_told(found, tree),
    ]
    guesses = tuple(guess for part in parts for guess in part.guesses)
    taken = {guess.place for guess in guesses}
    parts += _asked([one for one in found if one.group.place not in taken])
    return Solved(guesses, tuple(question for part in parts for question in part.questions))


def _one(found: Sequence[Setting], path: str, spec: str, why: str, about: str, doubt: str = "") -> Solved:
    if len(found) == 1:
        return Solved((Guess(found[0].group.place, "value", spec, path, why, doubt),))
    if found:
        readings = tuple(f"{one.label} ({one.value})" for one in found)
        ask = f"change it, dump before and after, and teach {path}"
        return Solved(questions=(Question(about, readings, ask),))
    return Solved()


def _names_itself(found: Sequence[Setting], path: str, words: Iterable[str], none: set[str]) -> Solved:
    """The one setting whose value is a word that means one thing."""
    known = set(words)
    fits = [one for one in found if one.plain.lower() in known and len(one.group.rows) == 1]
    if not fits:
        return Solved()
    word = fits[0].plain
    spec = f"{{words: {{{_cased(word, sorted(known))}}}}}"
    doubt = f"other words than {word} are assumed"
    return _one(fits, path, spec, f"{word} says itself", f"which setting is {path}", doubt)


def _cased(word: str, known: Sequence[str]) -> str:
    """All words of a kind in the same capitals as the one that is known."""
    shape = str.upper if word.isupper() else str.lower
    words = {shape(one): one for one in known} | {word: word.lower()}
    return ", ".join(f"{key_of(written)}: {meant}" for written, meant in words.items())


def _dshot(found: Sequence[Setting]) -> Solved:
    fits = [one for one in found if _DSHOT.fullmatch(one.plain)]
    if not fits:
        return Solved()
    word = fits[0].plain
    number = _DSHOT.fullmatch(word)
    stem = word[: number.start(1)] if number else word
    words = ", ".join(f"{key_of(f'{stem}{speed}')}: dshot{speed}" for speed in (150, 300, 600, 1200))
    said = "which setting is motors.protocol"
    return _one(fits, "motors.protocol", f"{{words: {{{words}}}}}", f"{word} says itself", said)


def _order(found: Sequence[Setting], told: str) -> Solved:
    """The order of the first four channels: itself, or four letters of another alphabet."""
    fits = [one for one in found if sorted(one.plain.upper()) == ["A", "E", "R", "T"]]
    if fits and fits[0].plain.isupper():
        why = f"{fits[0].plain} says itself"
        return _one(fits, "receiver.channel_order", "text", why, "the channel order")
    other = fits or [
        one
        for one in found
        if len(one.plain) == 4 == len(set(one.plain.lower())) and one.plain.isalpha()
        and {"order", "map", "sequence", "channels"} & one.words
    ]  # fmt: skip
    if not told or not other:
        return Solved()
    letters = dict(zip(other[0].plain, told, strict=True))
    orders = {"AETR", "TAER", "RTAE", told}
    back = {meant: written for written, meant in letters.items()}
    words = ", ".join(f"{key_of(''.join(back[sign] for sign in order))}: {order}" for order in sorted(orders))
    why = f"{other[0].plain} stands for the radio's {told}, letter by letter"
    return _one(other, "receiver.channel_order", f"{{words: {{{words}}}}}", why, "the channel order")


_ROLES = (
    ("battery.cell_full_v", {"full", "max", "maximum", "top", "charged"}),
    ("battery.cell_warn_v", {"warn", "warning", "low", "alarm", "alert"}),
    ("battery.cell_empty_v", {"empty", "min", "minimum", "flat", "critical", "crit", "dead"}),
)
_OF_CELLS = {"volt", "volts", "voltage", "cell", "cells", "batt", "battery", "bat", "pack", "lipo"}


def _volts(found: Sequence[Setting]) -> Solved:
    """Three cell voltages in order, each by a word of its name, in one scale."""
    for scale, by in (*_SCALES, ("decimal", 1.0)):
        likely = [one for one in found if _is_volts(one, by) and one.words & _OF_CELLS]
        fits = [[one for one in likely if one.words & role] for _, role in _ROLES]
        chosen = [one for some in fits for one in some]
        if not all(len(one) == 1 for one in fits) or len({one.label for one in chosen}) < len(chosen):
            continue
        values = [float(one.plain) * by for one in chosen]
        if values != sorted(values, reverse=True) or len(set(values)) < len(values):
            continue
        guesses = []
        for (path, role), one in zip(_ROLES, chosen, strict=True):
            spec = f"{{{scale}}}" if by != 1 else f"{{decimal: {{by: 1, places: {_places(one.plain)}}}}}"
            word = sorted(one.words & role)[0]
            volts = f"{float(one.plain) * by:.3g} V"
            said = f"{one.plain} is {volts}, “{word}” in its name, in order with the others"
            guesses.append(Guess(one.group.place, "value", spec, path, said))
        return Solved(tuple(guesses))
    likely = [one for one in found if one.words & _OF_CELLS and any(_is_volts(one, by) for _, by in _SCALES)]
    readings = tuple(f"{one.label} ({one.value})" for one in likely)
    ask = "change one, and teach battery.cell_warn_v = 3.5"
    question = Question("which settings are cell voltages", readings, ask)
    return Solved(questions=(question,) if readings else ())


def _is_volts(one: Setting, by: float) -> bool:
    if look.kind(one.plain) not in (("whole",) if by != 1 else ("decimal",)):
        return False
    return _CELL_VOLTS[0] <= float(one.plain) * by <= _CELL_VOLTS[1]


def _places(text: str) -> int:
    return len(text.partition(".")[2])


class _Told(Struct, frozen=True):
    """A leaf whose value the sheet tells."""

    path: str
    value: str
    hints: frozenset[str]
    spec: str
    needs_hint: bool = True


def _from_sheet(tree: sheet.Tree) -> Iterator[_Told]:
    def told(path: str, number: int | None, *hints: str, rare: int = 10**9) -> Iterator[_Told]:
        if number is not None:
            yield _Told(path, str(number), frozenset(hints), "integer", number < rare)

    craft = sheet.text(tree, "craft")
    if len(craft) > 2:
        hints = frozenset({"craft", "name", "called"})
        yield _Told("identity.craft_name", craft, hints, "{text: , quoted: true}", False)
    yield from told("battery.cells", sheet.number(tree, "battery", "cells"), "cells", "series")
    yield from told("battery.capacity_mah", sheet.number(tree, "battery", "capacity_mah"),
                    "capacity", "size", "mah", "holds", rare=600)  # fmt: skip
    yield from told("motors.poles", sheet.number(tree, "motors", "magnets"), "poles", "magnets", "pole")


def _told(found: Sequence[Setting], tree: sheet.Tree) -> Iterator[Solved]:
    for told in _from_sheet(tree):
        same = [one for one in found if one.plain == told.value]
        hinted = [one for one in same if one.words & told.hints]
        fits = hinted if told.needs_hint or len(hinted) == 1 else same
        spec = told.spec
        if told.path == "identity.craft_name" and fits and not fits[0].value.startswith('"'):
            spec = "text"
        hints = sorted(fits[0].words & told.hints) if fits else []
        hint = f", “{hints[0]}” in its name" if hints else ""
        why = f"the sheet's {told.value}{hint}"
        yield _one(fits, told.path, spec, why, f"which setting is {told.path}")
    yield _canvas(found, tree)


def _canvas(found: Sequence[Setting], tree: sheet.Tree) -> Solved:
    """Columns and rows: side by side, and of a size that the video unit draws."""
    fits = []
    for device in sheet.devices(tree):
        canvas = device.get("canvas")
        for size in canvas if isinstance(canvas, list) else ():
            columns, _, rows = str(size).partition("x")
            wide = [one for one in found if one.plain == columns]
            tall = [one for one in found if one.plain == rows]
            fits += [(one, other, size) for one in wide for other in tall if _beside(one, other)]
    if len(fits) != 1:
        return Solved()
    one, other, size = fits[0]
    why = f"beside each other, the sheet's {size}"
    return Solved(
        (
            Guess(one.group.place, "value", "integer", "osd.columns", why),
            Guess(other.group.place, "value", "integer", "osd.rows", why),
        )
    )


def _beside(one: Setting, other: Setting) -> bool:
    return one.group.opens == other.group.opens and abs(one.group.first - other.group.first) == 1


def _may_be_code(text: str) -> bool:
    number = look.whole(text)
    return number is not None and 0 <= number < 20


# What names point to, but no value settles
_ASKED = (
    ("osd.drive", {"osd", "screen", "display", "draw", "draws", "overlay", "picture"}),
    ("motors.layout", {"frame", "layout", "mixer"}),
    ("motors.bidirectional", {"bidirectional", "replies", "answers", "telemetry", "bidir"}),
    ("arming.checks", {"arming", "arm", "checks", "check", "ready", "prearm", "start"}),
    ("failsafe.action", {"failsafe", "lost", "loss"}),
    ("receiver.link", {"receiver", "rx", "radio", "link"}),
)


def _asked(found: Sequence[Setting]) -> Iterator[Solved]:
    for path, hints in _ASKED:
        hinted = [one for one in found if one.words & hints]
        words = [one for one in hinted if look.kind(one.plain) in ("word", "numbered", "nothing")]
        likely = words or [one for one in hinted if _may_be_code(one.plain)]
        if likely and len(likely) <= 12:
            readings = tuple(f"{one.label} ({one.value})" for one in likely)
            ask = f"change one on purpose, and teach what it was and is: '{path} = … was …'"
            yield Solved(questions=(Question(f"which setting is {path}", readings, ask),))

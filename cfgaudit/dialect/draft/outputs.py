"""Which rows drive the motors: those that hold the pins of the sheet's motor pads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.codec.pin import Pin, is_pin
from cfgaudit.dialect.draft import look, sheet
from cfgaudit.dialect.draft.group import Field, Guess, Question, Solved, Table
from cfgaudit.dialect.draft.spell import inline
from cfgaudit.model.value import spoken

_PIN = Pin()


class _Fit(Struct, frozen=True):
    table: Table
    pin: Field
    motor: Field | None  # None: the rows are numbered by the motor
    offset: int

    @property
    def said(self) -> str:
        cell = self.motor.label if self.motor else "the row's own number"
        shift = f" plus {self.offset}" if self.offset > 0 else f" less {-self.offset}" if self.offset else ""
        return f"{self.table.label}: pins in {self.pin.label}, the motor is {cell}{shift}"


def solve_outputs(tables: Sequence[Table], tree: sheet.Tree) -> Solved:
    """Outputs with the motor that each drives and its pin."""
    pins = sheet.motor_pins(tree)
    if len(pins) < 2:
        return Solved()
    fits = [fit for table in tables for fit in _fits(table, pins)]
    # where a cell says the motor besides the row's number, it says it for a reason
    told = [fit for fit in fits if fit.motor] or fits
    if len(told) != 1:
        readings = tuple(fit.said for fit in told)
        return Solved(
            questions=(Question("which motor each output drives", readings, "move one motor to another pin"),)
        )
    return Solved(tuple(_guesses(told[0], pins, len(fits))))


def pin_spec(texts: Sequence[str]) -> str:
    """The codec that writes pins as these texts are written."""
    real = [text for text in texts if is_pin(text)]
    none = list(dict.fromkeys(text for text in texts if not is_pin(text))) or ["none"]
    for start in ("P", "p", ""):
        for middle in ("", "_"):
            for number in ("{number}", "{number:02}"):
                written = f"{start}{{port}}{middle}{number}"
                if all(_is_written(written, text) for text in real):
                    return f"{{pin: {inline(written)}, none: {_spellings(none)}}}"
    return f'{{pin: "P{{port}}{{number}}", none: {_spellings(none)}}}'


def _spellings(words: Sequence[str]) -> str:
    return inline(words[0]) if len(words) == 1 else f"[{', '.join(map(inline, words))}]"


def _is_written(written: str, text: str) -> bool:
    return Pin(written).write(_PIN.read(text)) == text


def _read(text: str) -> str:
    try:
        return _PIN.read(text)
    except Misfit:
        return ""


def _fits(table: Table, pins: Mapping[int, str]) -> Iterator[_Fit]:
    for field in table.fields:
        if not look.pins([*field.texts.values()]):
            continue
        read = {name: _read(text) for name, text in field.texts.items()}
        holders = {pin: [name for name, one in read.items() if one == pin] for pin in pins.values()}
        if any(len(names) != 1 for names in holders.values()):
            continue
        row_of = {motor: holders[pin][0] for motor, pin in pins.items()}
        for other in table.fields:
            if other is not field:
                yield from _numbered(table, field, other, row_of)
        # a section's own line gives what it says only once: there a setting must name the motor
        if field.place in [place for place, _ in table.named_by] and len(table.names) == len(pins):
            yield from _numbered(table, field, None, row_of)


def _numbered(table: Table, pin: Field, motor: Field | None, row_of: Mapping[int, str]) -> Iterator[_Fit]:
    texts = {number: motor.texts.get(name, "") if motor else name for number, name in row_of.items()}
    every = [*(motor.texts.values() if motor else table.names)]
    numbers = {number: look.whole(text) for number, text in texts.items()}
    offsets = {None if written is None else number - written for number, written in numbers.items()}
    whole = all(look.whole(text) is not None for text in every)
    if len(offsets) == 1 and whole and (offset := offsets.pop()) is not None and -2 <= offset <= 2:
        yield _Fit(table, pin, motor, offset)


def _guesses(fit: _Fit, pins: Mapping[int, str], fits: int) -> Iterator[Guess]:
    key = fit.table.key
    path = f"outputs.{{{key}}}"
    whole = all(look.whole(name) is not None for name in fit.table.names)
    counts = "integer" if whole else "text"
    pads = spoken([f"motor {motor} on {pin}" for motor, pin in pins.items()])
    why = f"the only rows with the sheet's {pads}"
    offset = f"{{integer: {{offset: {fit.offset}}}}}" if fit.offset else "integer"
    if fit.motor:
        doubt = "the row's own number fits as well" if fits > 1 else ""
        for place, cell in fit.table.named_by:
            yield Guess(place, cell, counts, "", "names the rows")
        yield Guess(fit.motor.place, fit.motor.cell, offset, f"{path}.motor", why, doubt)
    else:
        for place, cell in fit.table.named_by:
            own = place == fit.pin.place
            yield Guess(place, cell, offset, f"{path}.motor" if own else "", why)
    texts = [*fit.pin.texts.values()]
    yield Guess(fit.pin.place, fit.pin.cell, pin_spec(texts), f"{path}.pin", why)

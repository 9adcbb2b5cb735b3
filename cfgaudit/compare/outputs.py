"""Outputs: what a builder knows are motors and their pins, not the firmware's numbers of outputs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference
from cfgaudit.compare.pair import Pair, rows
from cfgaudit.compare.words import NOT_SAID, piece
from cfgaudit.model.model import Model
from cfgaudit.model.order import natural
from cfgaudit.model.value import spoken

NO_PIN = "none"


class _Output(Struct, frozen=True):
    number: str
    motor: str  # "" if it drives none
    use: str  # "" if it drives a motor or nobody said
    pin: str  # "" if nobody said

    @property
    def drives(self) -> str:
        return f"motor {self.motor}" if self.motor else self.use


class _Move(Struct, frozen=True):
    """A motor with one output on each side, of which the pin or the number changed."""

    motor: str
    before: _Output
    after: _Output

    @property
    def pins(self) -> tuple[str, str]:
        return self.before.pin, self.after.pin

    @property
    def text(self) -> str:
        number = f"output {self.before.number} → {self.after.number}"
        if self.before.pin == self.after.pin:
            return f"{number}, still on pin {self.after.pin}"
        moved = f"pin {self.before.pin} → {self.after.pin}"
        return moved if self.before.number == self.after.number else f"{moved} ({number})"


def output_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """Motors that changed their pins first; what is left is told output by output."""
    before, after = _outputs(pair.a.model), _outputs(pair.b.model)
    moves = {move.motor: move for move in _moves(before, after)}
    rings = _rings(moves)
    ringed = {motor for ring in rings for motor in ring}
    for ring in rings:
        told = [moves[motor] for motor in ring]
        yield pair.change(f"motors {spoken(ring)}", _ring_text(told), _touched(told, differences))
    for motor, move in moves.items():
        if motor not in ringed:
            yield pair.change(f"motor {motor}", move.text, _touched([move], differences))
    yield from _rest(pair, differences, before, after, frozenset(moves))


def _outputs(model: Model) -> Mapping[str, _Output]:
    return {
        number: _Output(number, *(spoken(row.get(key, "")) for key in ("motor", "use", "pin")))
        for number, row in rows(model, "outputs").items()
    }


def _moves(before: Mapping[str, _Output], after: Mapping[str, _Output]) -> Iterator[_Move]:
    one, other = _single(before), _single(after)
    for motor in sorted(one.keys() & other.keys(), key=natural):
        move = _Move(motor, one[motor], other[motor])
        if move.pins[0] != move.pins[1] or move.before.number != move.after.number:
            yield move


def _single(outputs: Mapping[str, _Output]) -> Mapping[str, _Output]:
    """Motors that exactly one output with a known pin drives."""
    by_motor: dict[str, list[_Output]] = {}
    for output in outputs.values():
        by_motor.setdefault(output.motor, []).append(output)
    return {
        motor: found[0] for motor, found in by_motor.items() if motor and len(found) == 1 and found[0].pin
    }


def _rings(moves: Mapping[str, _Move]) -> list[list[str]]:
    """Motors that changed their pins among themselves: two of them swapped, more went round."""
    real = [move for move in moves.values() if move.pins[0] != move.pins[1] and NO_PIN not in move.pins]
    left, taken = ([move.pins[side] for move in real] for side in (0, 1))
    clear = [move for move in real if left.count(move.pins[0]) == taken.count(move.pins[1]) == 1]
    owner = {move.pins[0]: move.motor for move in clear}
    follows = {move.motor: owner[move.pins[1]] for move in clear if move.pins[1] in owner}
    rings: list[list[str]] = []
    seen: set[str] = set()
    for first in follows:
        ring = [first]
        while (motor := follows.get(ring[-1], "")) and motor not in ring:
            ring.append(motor)
        if motor == first and first not in seen:
            rings.append(sorted(ring, key=natural))
            seen |= {*ring}
    return rings


def _ring_text(ring: Sequence[_Move]) -> str:
    if len(ring) == 2:
        return f"swapped their pins {spoken([move.before.pin for move in ring])}"
    steps = ", ".join(f"{move.motor} {move.before.pin} → {move.after.pin}" for move in ring)
    return f"changed pins among themselves: {steps}"


def _touched(moves: Sequence[_Move], differences: Sequence[Difference]) -> list[Difference]:
    numbers = {output.number for move in moves for output in (move.before, move.after)}
    return [one for one in differences if one.path[1] in numbers and one.path[2] in ("motor", "pin")]


def _rest(
    pair: Pair,
    differences: Sequence[Difference],
    before: Mapping[str, _Output],
    after: Mapping[str, _Output],
    moved: frozenset[str],
) -> Iterator[Change]:
    """What no motor's move tells: outputs that came, went, or drive something else."""
    nothing = _Output("", "", "", "")
    for number in sorted({one.path[1] for one in differences}, key=natural):
        was, now = before.get(number, nothing), after.get(number, nothing)
        motors = {output.motor for output in (was, now) if output.number}
        is_told = motors <= moved and was.use == now.use
        inside = [
            one
            for one in differences
            if one.path[1] == number and not (is_told and one.path[2] in ("motor", "pin"))
        ]
        if inside:
            yield pair.change(*_output_words(number, was, now, inside), inside)


def _output_words(number: str, was: _Output, now: _Output, inside: Sequence[Difference]) -> tuple[str, str]:
    """Subject and text of an output: the motor's, where the whole output is new or gone."""
    if not was.number or not now.number:
        there = now if now.number else was
        subject = f"motor {there.motor}" if there.motor else f"output {number}"
        parts = [f"output {number}"] if there.motor else [there.use] if there.use else []
        parts += [f"pin {there.pin}"] if there.pin else []
        parts += [piece(one, 2) for one in inside if one.path[2] not in ("motor", "use", "pin")]
        return subject, f"{'new' if now.number else 'gone'}: {', '.join(parts)}"
    parts = []
    if was.drives != now.drives:
        parts.append(f"{was.drives or NOT_SAID} → {now.drives or NOT_SAID}")
    if was.use != now.use and was.motor == now.motor:
        parts = [f"use {was.use or NOT_SAID} → {now.use or NOT_SAID}"]
    parts += [piece(one, 2) for one in inside if one.path[2] not in ("motor", "use")]
    return f"output {number}", ", ".join(parts or [piece(one, 2) for one in inside])

"""Baud-rate dividers: the rate that a serial port makes when it is asked for another.

Source: ST RM0090 rev 11, section 30.3.4 (fractional divider of the F4 line: a mantissa and
sixteenths, or eighths at oversampling by 8) and ST RM0440 rev 4, section 37.5.7 (the G4 line:
the same steps, written into the register whole). Low-power ports: RM0440, from memory.
"""

from __future__ import annotations

from msgspec import Struct

LEAST_STEPS = {16: 16, 8: 8}  # RM0440 37.5.7: USARTDIV is 16 at least; at 8-fold it counts halves
MOST_STEPS = 0xFFFF  # twelve bits of mantissa and four of fraction
LOW_POWER_LEAST, LOW_POWER_MOST = 0x300, 0xFFFFF  # of a low-power port, which counts 1/256 of a bit


class Divider(Struct, frozen=True):
    """A divider as it is set: the clock is divided by ``steps / per``, whatever the oversampling.

    ``per`` is 1, or 256 for a low-power port.
    """

    clock_hz: int
    baud: int  # wanted
    over: int  # oversampling: 16, 8; 1 for a low-power port, which samples once
    steps: int
    per: int = 1

    @property
    def real_baud(self) -> float:
        """The rate that comes of it, in bits a second."""
        return self.clock_hz * self.per / self.steps

    @property
    def error_percent(self) -> float:
        """How far the real rate is from the wanted one; above it is positive."""
        return (self.real_baud / self.baud - 1) * 100

    @property
    def usartdiv(self) -> float:
        """The divider as the manual's tables print it: clock ÷ (oversampling × this) is the rate."""
        return self.steps / self.over


def divider(clock_hz: int, baud: int, over: int = 0, *, fraction: bool = True) -> Divider:
    """The nearest divider for a rate. ``over``: 16, 8, or 0 for 16 where the chip can, else 8.

    Without ``fraction`` the divider is whole: clock ÷ (over × n). Raises ValueError where no
    divider comes near: a rate above clock ÷ 8 (clock ÷ 16), or below what 16 bits can divide to.
    """
    if clock_hz <= 0 or baud <= 0:
        raise ValueError("a clock and a rate are above zero")
    if over == 0:
        over = 16 if _steps(clock_hz, baud, 16, fraction) >= LEAST_STEPS[16] else 8
    steps = _steps(clock_hz, baud, over, fraction)
    if steps < LEAST_STEPS[over]:
        fastest = clock_hz // LEAST_STEPS[over]
        raise ValueError(f"a clock of {clock_hz:,} Hz makes {fastest:,} baud at most")
    if steps > MOST_STEPS * (1 if fraction else over):
        raise ValueError(f"a clock of {clock_hz:,} Hz cannot be divided down to {baud:,} baud")
    return Divider(clock_hz, baud, over, steps)


def closest(clock_hz: int, baud: int) -> Divider:
    """The divider that comes nearest, however far it is: of a rate out of reach the last one in reach.

    Raises ValueError for a clock or a rate that is none.
    """
    try:
        return divider(clock_hz, baud)
    except ValueError:
        if clock_hz <= 0 or baud <= 0:
            raise
        fast = clock_hz < LEAST_STEPS[8] * baud
        over, steps = (8, LEAST_STEPS[8]) if fast else (16, MOST_STEPS)
        return Divider(clock_hz, baud, over, steps)


def low_power_divider(clock_hz: int, baud: int) -> Divider:
    """The nearest divider of a low-power port: 256 × clock ÷ n. Raises ValueError as ``divider`` does."""
    if clock_hz <= 0 or baud <= 0:
        raise ValueError("a clock and a rate are above zero")
    steps = _nearest(256 * clock_hz, baud)
    if not LOW_POWER_LEAST <= steps <= LOW_POWER_MOST:
        low, high = 256 * clock_hz // LOW_POWER_MOST + 1, 256 * clock_hz // LOW_POWER_LEAST
        raise ValueError(f"a low-power port on {clock_hz:,} Hz makes {low:,} to {high:,} baud")
    return Divider(clock_hz, baud, 1, steps, 256)


def _steps(clock_hz: int, baud: int, over: int, fraction: bool) -> int:
    """How many clock pulses a bit takes, to the nearest that the divider can count."""
    return _nearest(clock_hz, baud) if fraction else _nearest(clock_hz, baud * over) * over


def _nearest(dividend: int, divisor: int) -> int:
    """The whole number nearest to a quotient, halves upwards, as the manual's own examples round."""
    return (2 * dividend + divisor) // (2 * divisor)

"""MSP DisplayPort: what it takes to draw a canvas over a serial line.

A redraw is a clear, one string for each row, and a command to show them. Each is a message of its
own: 6 bytes around it (MSP version 1), a byte that says which of the three it is, and with a string
its row, column and attribute.

Source: the frame of MSP version 1 is in tbs-crsf-spec 1285bbc (headers) and otherwise common
practice, from memory, as are the three messages.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from cfgaudit.derive.canvas import Canvas

MSP_OVERHEAD_BYTES = 6  # $ M, direction, size, command, checksum
COMMAND_BYTES = 1  # clear, string or show
STRING_BYTES = 3  # row, column, attribute


class Redraw(Struct, frozen=True):
    """What one redraw sends: strings of so many characters, and the messages around them."""

    strings: tuple[int, ...]  # characters of each

    @property
    def around_bytes(self) -> int:
        """Bytes that are no characters."""
        strings = len(self.strings) * (MSP_OVERHEAD_BYTES + COMMAND_BYTES + STRING_BYTES)
        return strings + 2 * (MSP_OVERHEAD_BYTES + COMMAND_BYTES)

    @property
    def bytes(self) -> int:
        """All bytes of the redraw."""
        return sum(self.strings) + self.around_bytes


def full(canvas: Canvas) -> Redraw:
    """The whole canvas anew, a string for each row."""
    return Redraw((canvas.columns,) * canvas.rows)


def typical(widths: Sequence[int]) -> Redraw:
    """The shown elements alone, a string for each."""
    return Redraw(tuple(widths))

from __future__ import annotations

import pytest

from cfgaudit.derive.canvas import Canvas, canvas


@pytest.mark.parametrize(
    "size", ["", "53", "53x", "x20", "53 x 20", "53X20", "0x20", "53x0", "5３x20", "53x20\n"]
)
def test_sizes_that_are_none(size: str) -> None:
    with pytest.raises(ValueError, match="COLUMNSxROWS"):
        canvas(size)


@pytest.mark.parametrize(
    ("column", "row", "width", "inside"),
    [
        (0, 0, 1, True),
        (29, 15, 1, True),
        (30, 15, 1, False),
        (29, 16, 1, False),
        (25, 3, 5, True),
        (26, 3, 5, False),
        (-1, 0, 5, False),
        (0, -1, 5, False),
    ],
)
def test_holds(column: int, row: int, width: int, inside: bool) -> None:
    assert Canvas(30, 16).holds(column, row, width) is inside


def test_spoken_as_written() -> None:
    assert str(canvas("53x20")) == "53x20"

"""OSD canvases against the sizes the trade uses: common practice, from memory, as the file says."""

from __future__ import annotations

import pytest

from cfgaudit.derive import canvas
from tests.published.rows import rows


@pytest.mark.parametrize("row", rows("displayport_canvas"), ids=lambda row: f"{row['cols']}x{row['rows']}")
def test_canvas(row: dict[str, str]) -> None:
    read = canvas.canvas(f"{row['cols']}x{row['rows']}")
    assert (read.columns, read.rows, read.cells) == (int(row["cols"]), int(row["rows"]), int(row["cells"]))
    if row["note"].endswith("analogue chip"):
        assert canvas.CHIP[row["note"].split()[0].lower()] == read
    else:
        assert read in canvas.SERIAL


def test_no_canvas_is_made_up() -> None:
    known = {str(one) for one in (*canvas.CHIP.values(), *canvas.SERIAL)}
    assert known == {f"{row['cols']}x{row['rows']}" for row in rows("displayport_canvas")}

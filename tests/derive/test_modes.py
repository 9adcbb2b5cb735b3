from __future__ import annotations

import pytest

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.modes import arming_range, modes


@pytest.mark.parametrize(
    ("from_us", "to_us", "rest_us", "chosen"),
    [
        (1600, 2100, 1000, (1600, 2100)),
        (1600, 2100, None, (1600, 2100)),
        (900, 2100, 1000, (1700, 2100)),  # the sheet's own range holds the rest position
        (None, None, None, (1700, 2100)),
        (None, None, 2000, (900, 1300)),
        (1700, None, 1000, (1700, 2100)),
    ],
)
def test_arming_range(
    from_us: int | None, to_us: int | None, rest_us: int | None, chosen: tuple[int, int]
) -> None:
    assert arming_range(from_us, to_us, rest_us) == chosen


def test_armable() -> None:
    silent = Missing(("model.modes.arm",))
    other = {"modes": {"beeper": {"0": {"channel": 6}}}}
    assert modes({"modes": {"arm": {"0": {"channel": 5}}}}, {})["armable"] is True
    assert modes({**other}, {}, complete=True)["armable"] is False
    assert modes({**other}, {})["armable"] == silent
    assert modes({}, {}, complete=True)["armable"] == silent

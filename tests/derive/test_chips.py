from __future__ import annotations

import pytest

from cfgaudit.derive.chips import agree, line_of


@pytest.mark.parametrize(
    ("chip", "line"),
    [
        ("STM32F405RGT6", ("STM32", "F405")),
        ("stm32 f405", ("STM32", "F405")),
        ("F40x", ("", "F40X")),
        ("AT32F435RMT7", ("AT32", "F435")),
        ("RP2040", ("", "RP2040")),
        ("", ("", "")),
    ],
)
def test_line(chip: str, line: tuple[str, str]) -> None:
    assert line_of(chip) == line


@pytest.mark.parametrize("found", ["STM32F405", "f405", "F40x", "STM32F4", "stm32f405rg"])
def test_agree(found: str) -> None:
    assert agree("STM32F405RGT6", found)
    assert agree(found, "STM32F405RGT6")


@pytest.mark.parametrize("found", ["STM32H743", "F411", "AT32F405", "F7x", "RP2040"])
def test_disagree(found: str) -> None:
    assert not agree("STM32F405RGT6", found)

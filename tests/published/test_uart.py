"""Baud-rate dividers against the vendor's own tables and register examples.

Sources: ST RM0090 rev 11, tables 135 and 137 to 141, all 103 rows, with the misprints marked as the
file does; its examples of the register; ST RM0440 rev 4, section 37.5.7; ST RM0091 rev 1, table 85;
ST RM0351 rev 3, table 194.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from cfgaudit.derive.uart.clock import bus_of
from cfgaudit.derive.uart.divider import Divider, divider, low_power_divider
from cfgaudit.derive.uart.tolerance import tolerance_percent
from tests.published.rows import FACTS, rows

TABLE = rows("rm0090_usart_baud")


def misc() -> Any:
    import yaml

    return yaml.safe_load((FACTS / "rm_usart_misc.yaml").read_text("utf-8"))


def made(row: dict[str, str]) -> Divider:
    return divider(int(row["fpclk_hz"]), int(row["desired_baud"]), int(row["over"]))


# 4375.0 for 1,200 baud at 84 MHz: printed, but more than the register's twelve bits of mantissa hold
BEYOND = [row for row in TABLE if float(row["usartdiv"]) > 0xFFF + 15 / 16 and row["over"] == "16"]
HELD = [row for row in TABLE if row not in BEYOND]


def test_all_rows_are_there() -> None:
    assert len(TABLE) == 103
    assert [(row["fpclk_hz"], row["desired_baud"]) for row in BEYOND] == [("84000000", "1200")]


def test_a_row_that_the_register_cannot_hold() -> None:
    with pytest.raises(ValueError, match="cannot be divided down to 1,200 baud"):
        made(BEYOND[0])


@pytest.mark.parametrize("row", HELD, ids=lambda r: f"{r['over']}-{r['fpclk_hz']}-{r['desired_baud']}")
def test_divider_and_rate(row: dict[str, str]) -> None:
    """The divider is what the manual prints, the rate what it prints where that is no misprint."""
    found = made(row)
    assert found.usartdiv == float(row["usartdiv"])
    assert float(found.real_baud) == pytest.approx(float(row["calc_actual_baud"]), abs=0.006)
    assert found.error_percent == pytest.approx(float(row["calc_err_pct"]), abs=0.0006)
    if row["status"] == "ok":  # the manual prints kilobauds, in three to six figures, rounded or cut
        printed = float(row["printed_actual_baud"])
        assert float(found.real_baud) == pytest.approx(printed, rel=6e-5, abs=1)
    if row["status"] == "ok" and row["printed_err_pct"]:
        assert abs(found.error_percent) == pytest.approx(float(row["printed_err_pct"]), abs=0.011)


@pytest.mark.parametrize("row", [row for row in TABLE if row["status"] != "ok"])
def test_misprints_are_really_none_of_ours(row: dict[str, str]) -> None:
    """What the manual prints disagrees with its own register value, whoever does the sum."""
    over, clock, steps = int(row["over"]), int(row["fpclk_hz"]), float(row["usartdiv"])
    own = clock / (over * steps)
    assert float(made(row).real_baud) == pytest.approx(own)
    said = row["status"].removeprefix("differs: ")
    assert said.startswith(("err printed", "actual printed"))


@pytest.mark.parametrize("example", misc()["brr_f4_examples"])
def test_register_of_the_f4_line(example: dict[str, Any]) -> None:
    """Mantissa in the upper bits, sixteenths (eighths) in the lower four (three)."""
    over = example["over"]
    clock = 84_000_000
    found = divider(clock, round(clock / (over * example["wanted"])), over)
    mantissa, rest = divmod(found.steps, over)
    assert mantissa << 4 | rest == example["brr"]
    if "usartdiv" in example:
        assert found.usartdiv == example["usartdiv"]


@pytest.mark.parametrize("example", misc()["brr_g4_examples"])
def test_register_of_the_g4_line(example: dict[str, Any]) -> None:
    """At oversampling 8 the register drops the lowest bit of twice the division."""
    found = divider(example["fck"], example["baud"], example["over"])
    if example["over"] == 16:
        assert found.steps == example["usartdiv"] == example["brr"]
    else:
        assert found.steps in (example["usartdiv"] // 2, (example["usartdiv"] + 1) // 2)


@pytest.mark.parametrize(("baud", "brr"), misc()["rm0091_table85_over16_48MHz"])
def test_register_of_the_f0_line(baud: int, brr: int) -> None:
    assert divider(48_000_000, baud, 16).steps == brr


@pytest.mark.parametrize(("name", "bits"), [("M00_10bit", 10), ("M01_11bit", 11), ("M10_9bit", 9)])
def test_tolerance(name: str, bits: int) -> None:
    at_16, _, at_8, _ = misc()["receiver_tolerance_pct"][name]
    assert (tolerance_percent(bits, 16), tolerance_percent(bits, 8)) == (at_16, at_8)


def test_which_bus_feeds_which_port() -> None:
    """RM0090, footnote 2 of tables 139 to 141: only ports 1 and 6 from the second bus."""
    assert "only USART1 and USART6" in misc()["clocking"]
    fed = {n: bus_of("STM32F405RGT6", f"UART{n}") for n in range(1, 7)}
    assert [n for n, bus in fed.items() if bus == "apb2_mhz"] == [1, 6]


def test_no_nearer_divider_exists() -> None:
    """The chosen number of steps is the nearest: one more or one less is further off, in clock pulses."""
    for row in HELD:
        exact = Fraction(int(row["fpclk_hz"]), int(row["desired_baud"]))
        assert abs(made(row).steps - exact) <= Fraction(1, 2)


@pytest.mark.parametrize("clock", [8_000_000, 16_000_000])
def test_what_no_divider_makes(clock: int) -> None:
    with pytest.raises(ValueError, match="at most"):
        divider(clock, clock)
    with pytest.raises(ValueError, match="divided down"):
        divider(clock, 100, 16)
    with pytest.raises(ValueError, match="low-power"):
        low_power_divider(clock, clock)

"""Which of a chip's bus clocks feeds which serial port, after a reset.

Source: ST RM0090 rev 11, section 30.3.4, footnote 2 of tables 139 to 141 for the F4 line (ports 1
and 6 from the second peripheral bus, the others from the first). The other lines from memory of
their manuals' clock trees, where a port's clock may be switched to another source: a board whose
firmware does that says so in its build sheet, by the clock's own rate.
"""

from __future__ import annotations

from cfgaudit.derive.chips import line_of

FAST_BUS = frozenset({"UART1", "UART6", "UART9", "UART10"})
LINES = frozenset({"F3", "F4", "F7", "G4", "H7"})


def bus_of(chip: str, port: str) -> str:
    """The clock that feeds a port: ``"apb1_mhz"`` or ``"apb2_mhz"``; ``"apb4_mhz"`` for H7's LPUART1.

    Raises ValueError for a chip whose clock tree is not known here, or a port that is no UART.
    """
    maker, line = line_of(chip)
    if maker not in ("", "STM32") or line[:2] not in LINES:
        raise ValueError(f"which clock feeds the serial ports of {chip} is not known here")
    if port == "LPUART1":
        return "apb4_mhz" if line.startswith("H7") else "apb1_mhz"
    if not port.startswith("UART"):
        raise ValueError(f"{port} has no baud-rate divider")
    return "apb2_mhz" if port in FAST_BUS else "apb1_mhz"

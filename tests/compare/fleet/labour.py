"""Work for workers: some of it ends them."""

from __future__ import annotations

import os
import time


def doubled(number: int) -> str:
    """Twice the number; 13 ends the process that is at it, and 17 fails."""
    if number == 13:
        os._exit(1)
    if number == 17:
        raise ValueError(str(number))
    if number % 5 == 0:
        time.sleep(0.02)  # others overtake it
    return str(2 * number)


def fell(number: int, reason: str) -> str:
    return f"{number} fell: {reason}"


def late(number: int) -> str:
    """Work that gives up by itself."""
    raise TimeoutError(str(number))

"""How far two ends of a serial line may be apart in rate before bits are misread.

Source: ST RM0351 rev 3, table 194 (receiver tolerance with BRR[3:0] = 0, by frame length), read.
What is there is for both ends together: sender, receiver, and the quantisation in between.
"""

from __future__ import annotations

# Frame length in bits → percent at oversampling by 16 and by 8, three samples a bit (ONEBIT = 0).
_TOLERANCE = {9: (4.16, 2.77), 10: (3.75, 2.50), 11: (3.41, 2.27)}


def tolerance_percent(bits: int, over: int) -> float:
    """What the receiver stands, by bits of a frame (start to first stop bit) and oversampling (16, 8).

    A second stop bit does not count: the receiver is in step again with the first. Raises ValueError for
    what the table does not list, a low-power port among them.
    """
    if bits not in _TOLERANCE or over not in (16, 8):
        raise ValueError(f"no tolerance is published for frames of {bits} bits at oversampling {over}")
    by_16, by_8 = _TOLERANCE[bits]
    return by_8 if over == 8 else by_16

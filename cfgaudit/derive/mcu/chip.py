"""What a chip can do: the timers and serial ports behind its pins, and who serves its DMA requests."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct

_LANE = re.compile(r"(TIM[0-9]{1,2})_CH([1-4])(N?)")
_TIMER = re.compile(r"(?:TIM|T)?_?([0-9]{1,2})", re.IGNORECASE)


class Lane(Struct, frozen=True, order=True):
    """One channel of one timer, at a pin. ``alternate`` is the pin's function number, -1 if unknown."""

    timer: str  # "TIM3"
    channel: int  # from 1
    complementary: bool = False
    alternate: int = -1

    @property
    def name(self) -> str:
        """As the chip's maker writes it: TIM3_CH1, TIM1_CH2N."""
        return f"{self.timer}_CH{self.channel}{'N' if self.complementary else ''}"

    @property
    def request(self) -> str:
        """The DMA request of the channel itself. A complementary output shares its channel's."""
        return f"{self.timer}_CH{self.channel}"

    @property
    def update(self) -> str:
        """The DMA request of the whole timer: one for all its channels at once."""
        return f"{self.timer}_UP"


class Chip(Struct, frozen=True):
    """A chip by its pins, its DMA and its serial ports. Each is None where nobody has told it.

    ``channels`` are the DMA channels (streams) that can serve a request: ``TIM3_CH3`` → ``("1/7",)``,
    controller and channel as the maker counts them. ``whole`` is false if the name leaves the package
    open, so that the largest one's pins are given.
    """

    name: str
    source: str
    pins: Mapping[str, tuple[Lane, ...]] | None
    channels: Mapping[str, tuple[str, ...]] | None
    ports: frozenset[str] | None = None  # its serial ports: UART4, LPUART1
    whole: bool = True

    def able(self, requests: Iterable[str]) -> tuple[str, ...]:
        """The DMA channels that can serve any of the requests, each once."""
        channels = self.channels or {}
        return tuple(dict.fromkeys(channel for name in requests for channel in channels.get(name, ())))


def lane(written: str, alternate: int = -1) -> Lane | None:
    """A timer's channel from its name: ``TIM3_CH1``, ``TIM1_CH2N``; None for another text."""
    found = _LANE.fullmatch(written.upper())
    return Lane(found[1], int(found[2]), bool(found[3]), alternate) if found else None


def timer(written: object) -> str:
    """A timer as the maker writes it: ``3``, ``t3`` and ``TIM3`` → ``TIM3``; "" for what is none."""
    if isinstance(written, int) and not isinstance(written, bool):
        return f"TIM{written}"
    found = _TIMER.fullmatch(written) if isinstance(written, str) else None
    return f"TIM{int(found[1])}" if found else ""

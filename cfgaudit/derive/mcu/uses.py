"""What runs at once: outputs with their pins, serial ports with a device, the log, what else is declared."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from cfgaudit.derive.dshot import BIT_RATES
from cfgaudit.derive.mcu.chip import Chip, Lane, timer
from cfgaudit.derive.mcu.solve import Task
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.motors import pin as pin_name
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, whole, word, words

# What an output drives → whether DMA feeds it. What is not here is switched by hand, without a timer.
_KINDS = {"led-strip": True, "servo": False, "camera-control": False}
_OWN_DMA = ("SDIO", "SDMMC", "QUADSPI", "OCTOSPI", "XSPI")  # of the memory's bus itself, in some lines


class Output(Struct, frozen=True):
    """An output that needs a timer. ``set`` is the timer's channel that the dump names, as far as it does."""

    id: str
    kind: str  # "motor" or the use: outputs of one kind run at one rate
    motor: int  # 0 for another use
    pin: str
    lanes: tuple[Lane, ...]  # what the chip can make of the pin
    set_timer: str  # "TIM3"; "" if the dump does not say
    set_channel: int  # 0 if the dump does not say
    set_alternate: int  # -1 if the dump does not say
    set_dma: str  # "1/7"; "none" if it is not to have one; "" if the dump does not say
    dma_able: tuple[str, ...]  # the DMA channels that can feed it there
    by_dma: bool

    @property
    def name(self) -> str:
        """How people call it: ``motor 3 on PC8``, ``the led strip on PA15``."""
        what = f"motor {self.motor}" if self.motor else f"the {self.kind.replace('-', ' ')}"
        return f"{what} on {self.pin}"

    @property
    def usable(self) -> tuple[Lane, ...]:
        """The timers' channels that it may run on: as the dump says, or any of the pin's."""
        return _usable(self.lanes, self.set_timer, self.set_channel)

    @property
    def task(self) -> Task:
        """The output as the solver has it."""
        only = self.set_dma if self.set_dma in self.dma_able else ""
        return Task(self.name, self.kind, self.usable, by_dma=self.by_dma, only=only)


class Traffic(Struct, frozen=True):
    """Something else that DMA moves. ``place`` is where the sheet speaks of it, as a path below it."""

    name: str  # "UART4 receiving"
    request: str
    place: tuple[str, ...]  # ("devices", "0", "port")

    @property
    def task(self) -> Task:
        """The traffic as the solver has it."""
        return Task(self.name, request=self.request)


def outputs(model: Tree, chip: Chip) -> Iterator[Output]:
    """The outputs that need a timer, in the order of the dump; of several on one pin the first.

    Empty of lanes where the chip's pins are not known or the pin has no timer.
    """
    protocol = word(model, "motors", "protocol").lower()
    setups = {pin_name(pin): setup for pin, setup in branches(model, "pin_setup")}
    seen: set[str] = set()
    for id, output in branches(model, "outputs"):
        motor, use, pin = whole(output, "motor") or 0, word(output, "use"), pin_name(word(output, "pin"))
        kind = "motor" if motor else use
        if pin in ("", "none", *seen) or (not motor and use not in _KINDS):
            continue
        seen.add(pin)
        setup = setups.get(pin, {})
        dma = str(told(setup, "dma") or "")
        lanes = (chip.pins or {}).get(pin, ())
        on = timer(told(setup, "timer") or told(output, "timer"))
        channel = whole(setup, "channel") or whole(output, "channel") or 0
        yield Output(
            id=id,
            kind=kind,
            motor=motor,
            pin=pin,
            lanes=lanes,
            set_timer=on,
            set_channel=channel,
            set_alternate=-1 if (number := whole(setup, "alternate")) is None else number,
            set_dma=dma,
            dma_able=chip.able([n for one in _usable(lanes, on, channel) for n in (one.request, one.update)]),
            by_dma=(protocol in BIT_RATES if motor else _KINDS[use]) and dma != "none",
        )


def _usable(lanes: Iterable[Lane], timer: str, channel: int) -> tuple[Lane, ...]:
    return tuple(one for one in lanes if timer in ("", one.timer) and channel in (0, one.channel))


def traffic(model: Tree, build: Tree, chip: Chip) -> Iterator[Traffic]:
    """What the build sheet says runs by DMA beside the outputs."""
    narrowed = told(build, "board", "dma", "ports")
    by_dma = words(build, "board", "dma", "ports") if isinstance(narrowed, list) else None
    seen: set[str] = set()
    for index, device in entries(build, "devices"):
        port = word(device, "port")
        if "UART" not in port or port in seen or (by_dma is not None and port not in by_dma):
            continue
        seen.add(port)
        yield from _port(port, device, ("devices", str(index), "port"))
    if (bus := word(build, "board", "log", "bus")) and word(model, "logging", "device") not in (
        "none",
        "off",
    ):
        yield from _log(bus, chip)
    for request in words(build, "board", "dma", "also"):
        yield Traffic(request, request, ("board", "dma", "also"))


def _port(port: str, device: Tree, place: tuple[str, ...]) -> Iterator[Traffic]:
    """The directions of a port that a device's wires join; both where it names none of them."""
    joined = {role for role in branch(device, "wires").values() if role in ("RX", "TX")} or {"RX", "TX"}
    if "TX" in joined:
        yield Traffic(f"{port} receiving", f"{port}_RX", place)
    if "RX" in joined:
        yield Traffic(f"{port} sending", f"{port}_TX", place)


def _log(bus: str, chip: Chip) -> Iterator[Traffic]:
    place = ("board", "log", "bus")
    if not bus.startswith(_OWN_DMA):
        yield Traffic(f"the log reading {bus}", f"{bus}_RX", place)
        yield Traffic(f"the log writing {bus}", f"{bus}_TX", place)
        return
    for request in (bus, f"{bus}_TX"):  # such a bus has one request for both directions
        if request in (chip.channels or {}):
            yield Traffic(f"the log on {bus}", request, place)
            return


def untold(model: Tree) -> Missing | None:
    """What the dump must tell for outputs to be judged at all, if it does not."""
    if not branch(model, "outputs"):
        return Missing(("model.outputs",))
    motors = any(whole(output, "motor") for _, output in branches(model, "outputs"))
    return Missing(("model.motors.protocol",)) if motors and not word(model, "motors", "protocol") else None

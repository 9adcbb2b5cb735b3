"""Figures about serial clocks: section ``uart`` of what rules see as ``derived``.

::

    port.ID             every UART of the dump that carries a job (USB and software-made ports apart):
      rate_baud         what it is set to, for the first of its jobs
      real_baud         what the chip makes of it, in bits a second
      error_percent     how far that is from what is set; above it is positive
      off_percent       the same without its sign
      over              oversampling, 16 or 8; 1 on a low-power port
      bits              of a frame, start to first stop bit
      tolerance_percent what the receiving end stands, both ends together
      half_percent      half of it: what is left to the other end
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.derive.line.framing import bits_to_first_stop
from cfgaudit.derive.line.streams import framing_of
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, word, words
from cfgaudit.derive.uart.clock import bus_of
from cfgaudit.derive.uart.divider import Divider, closest, low_power_divider
from cfgaudit.derive.uart.tolerance import tolerance_percent
from cfgaudit.derive.wiring import rate_of, unnumbered
from cfgaudit.dialect.codec.port import is_unmapped


class Made(Struct, frozen=True):
    """The rate that a port really runs at, and what its line stands."""

    port: str
    job: str
    bus: str  # the clock's key in the build sheet: "apb1_mhz"
    divider: Divider
    bits: int

    @property
    def tolerance_percent(self) -> float | Missing:
        """What the receiving end stands, both ends together; Missing where no table here tells."""
        try:
            return tolerance_percent(self.bits, self.divider.over)
        except ValueError as unlisted:
            return Missing(("build.board.chip",), str(unlisted))


def uart(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    if not branch(model, "ports"):
        return {"port": Missing(("model.ports",))}
    return {"port": {id: _figures(made) for id, made in made_rates(model, build)}}


def made_rates(model: Tree, build: Tree) -> Iterator[tuple[str, Made | Missing]]:
    """What becomes of the rate of every UART that carries a job, in the order of the dump."""
    for id, port in branches(model, "ports"):
        jobs = words(port, "functions")
        missing = unnumbered(build) if is_unmapped(id) else ""
        if jobs and missing:
            yield id, Missing((f"build.board.ports.{missing}.number",))
        elif jobs and "UART" in id:
            yield id, _made(id, jobs, port, model, build)


def _made(id: str, jobs: tuple[str, ...], port: Tree, model: Tree, build: Tree) -> Made | Missing:
    rates = ((job, *rate_of(port, job)) for job in jobs)
    job, path, baud = next(
        ((job, path, rate) for job, path, rate in rates if rate is not None), (jobs[0], ("rate_baud",), None)
    )
    if baud is None:
        return Missing((".".join(("model.ports", id, *path)),))
    chip = word(build, "board", "chip")
    if not chip:
        return Missing(("build.board.chip",))
    try:
        bus = bus_of(chip, id)
    except ValueError as unknown:
        return Missing(("build.board.chip",), str(unknown))
    mhz = told(build, "board", "clocks", bus)
    if not isinstance(mhz, int | float) or isinstance(mhz, bool):
        return Missing((f"build.board.clocks.{bus}",))
    device = next((one for _, one in entries(build, "devices") if word(one, "port") == id), {})
    bits = bits_to_first_stop(framing_of(job, device, model))
    hertz = round(mhz * 1_000_000)
    try:
        made = low_power_divider(hertz, baud) if id.startswith("LP") else closest(hertz, baud)
    except ValueError as beyond:
        return Missing((".".join(("model.ports", id, *path)),), str(beyond))
    return Made(id, job, bus, made, bits)


def _figures(made: Made | Missing) -> Figure:
    if isinstance(made, Missing):
        return dict.fromkeys(("real_baud", "error_percent", "off_percent", "tolerance_percent"), made)
    error, stands = made.divider.error_percent, made.tolerance_percent
    return {
        "rate_baud": made.divider.baud,
        "real_baud": round(float(made.divider.real_baud), 1),
        "error_percent": round(error, 3),
        "off_percent": round(abs(error), 3),
        "over": made.divider.over,
        "bits": made.bits,
        "tolerance_percent": stands,
        "half_percent": stands if isinstance(stands, Missing) else stands / 2,
    }

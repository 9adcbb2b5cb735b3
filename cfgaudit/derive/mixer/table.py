"""The mixer with its sums."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.mixer.frame import Row
from cfgaudit.derive.mixer.matrix import singular_values
from cfgaudit.derive.mixer.section import duties, mixer, set_rows
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree, word

_STATICS = "rigid-body statics; x forward, y right, z down; + is right side down, nose up, nose right"
_ALGEBRA = "linear algebra: singular values of the matrix of lift, roll, pitch, yaw"
_NO_PLACE = ("mixer/motor-elsewhere", "mixer/turns-against")


def table(model: Tree, build: Tree) -> Table:
    """What each motor does in the dump's mixer, what its place says, and whether it all can steer."""
    return Table("mixer", "what the motors do for roll, pitch and yaw", tuple(_rows(model, build)))


def _rows(model: Tree, build: Tree) -> Iterator[Quantity]:
    rows, places = set_rows(model), duties(build)
    if not places:
        yield Quantity(
            "", "places of the motors", Missing(("build.motors.places",)), "", "", _STATICS, _NO_PLACE
        )
    for number, own in places.items():
        at = word(build, "motors", "places", number, "at")
        has = rows if isinstance(rows, Missing) else rows.get(number, Missing((f"model.mixer.{number}",)))
        value = next((one for one in (own, has) if isinstance(one, Missing)), None)
        sum = "" if value else f"the place {at or 'given'} asks for {_said(own)}"
        yield Quantity(
            f"motor {number}", "roll, pitch, yaw as set", value or _said(has), "", sum, _STATICS, _NO_PLACE
        )
    figures = mixer(model, build)
    values = () if isinstance(rows, Missing) else singular_values(tuple(rows.values()))
    spoken = ", ".join(figure(value, 3) for value in values)
    yield Quantity(
        "",
        "directions it can steer",
        _plain(figures["rank"]),
        "of 4",
        f"singular values {spoken}" if values else "",
        _ALGEBRA,
        ("mixer/cannot-steer",),
    )
    yield Quantity(
        "",
        "strongest ÷ weakest",
        _plain(figures["condition"]),
        "",
        f"{figure(values[0], 3)} ÷ {figure(values[-1], 3)}" if values else "",
        _ALGEBRA,
        ("mixer/steers-weakly",),
    )
    for axis in ("roll", "pitch", "yaw"):
        shares = () if isinstance(rows, Missing) else tuple(getattr(row, axis) for row in rows.values())
        yield Quantity(
            "",
            f"{axis} at even throttle",
            _plain(figures[f"{axis}_sum"]),
            "",
            " ".join(f"{share:+g}" for share in shares),
            _STATICS,
            ("mixer/out-of-balance",),
        )


def _said(row: Row | Missing) -> str:
    if isinstance(row, Missing):
        return ""
    return f"{row.roll:+.2f} {row.pitch:+.2f} {row.yaw:+.2f}"


def _plain(value: object) -> float | Missing:
    return value if isinstance(value, Missing | int | float) else 0

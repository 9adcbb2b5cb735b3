"""Every section, whatever is in the trees: nothing raises, and every promised key is there."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.derive.facts import facts
from cfgaudit.derive.missing import Missing
from cfgaudit.model.devices import JOBS

SECTIONS = (
    "alignment", "battery", "file", "identity", "joints", "line", "log", "mixer", "modes", "motors", "osd",
    "power", "receiver", "rotor", "serial", "uart", "video",
)  # fmt: skip

ports = st.sampled_from(["USB", "UART1", "UART6", "none", ""])
jobs = st.sampled_from([*JOBS, "", "none", "bit9"])
odd: Any = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=4)
junk: Any = st.recursive(
    odd, lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=3), inner, max_size=2)
)


def some(**keys: Any) -> Any:
    """A mapping with any of these keys, each as it should be or anything else."""
    return st.fixed_dictionaries({}, optional={key: value | junk for key, value in keys.items()})


port = some(
    functions=st.lists(jobs, max_size=4), rate_baud=st.integers(), rates_baud=some(gnss=st.integers())
)
element = some(column=st.integers(-3, 90), row=st.integers(-3, 40), width=st.integers(1), shown=st.booleans())
output = some(motor=st.integers(0, 4), use=st.just("servo"), pin=st.sampled_from(["B6", "PB06", "none", ""]))
models = some(
    firmware=some(version=st.text(max_size=6), board=st.text(max_size=4), mcu=st.text(max_size=9)),
    ports=st.dictionaries(ports, port | junk, max_size=4),
    osd=some(
        drive=st.sampled_from(["chip", "displayport", "off", "other"]),
        standard=st.sampled_from(["pal", "ntsc", "hd"]),
        columns=st.integers(),
        rows=st.integers(),
        elements=st.dictionaries(st.text("ab", min_size=1, max_size=3), element | junk, max_size=6),
    ),
    motors=some(protocol=st.text(max_size=9), poles=st.integers(), bidirectional=st.booleans()),
    outputs=st.dictionaries(st.text("123", min_size=1, max_size=1), output | junk, max_size=4),
    modes=some(arm=some(**{"0": some(channel=st.integers())})),
    receiver=some(link=st.sampled_from(["crsf", "odd"]), channels=st.integers(), channel_order=st.text()),
    battery=some(cell_full_v=st.floats(0, 5), cell_warn_v=st.floats(0, 5), cell_empty_v=st.floats(0, 5)),
)
device = some(
    kind=st.sampled_from(["gnss", "digital video", "analogue camera"]),
    name=st.text("ab", max_size=2),
    job=jobs,
    port=ports,
    canvas=st.lists(st.text("x0123456789", max_size=5), max_size=2),
    rates_baud=st.lists(st.integers(), max_size=2),
    wires=st.dictionaries(
        st.sampled_from(["5V", "T4"]), st.sampled_from(["supply", "RX"]) | junk, max_size=2
    ),
    supply_v=st.lists(st.integers(), max_size=2),
)
builds = some(
    board=some(
        name=st.text(max_size=4),
        chip=st.text("STM32F405GHX", max_size=12),
        firmware=some(name=st.text(max_size=4), versions=st.text("<>=. 0123", max_size=8)),
        ports=st.dictionaries(ports, some(tx=st.text(max_size=4)), max_size=3),
        motor_pads=some(M1=st.text(max_size=4)),
        rails=some(**{"5V": some(volts=st.just("battery") | st.floats(0, 9))}),
    ),
    devices=st.lists(device | junk, max_size=4),
    motors=some(magnets=st.integers(), places=some(**{"1": some(at=st.text(max_size=3), pad=st.just("M1"))})),
    esc=some(protocols=st.lists(st.text(max_size=8), max_size=2)),
    battery=some(chemistry=st.sampled_from(["lipo", "lead"]), cells=st.integers(0, 9)),
    radio=some(channel_order=st.text(max_size=5), arm=some(from_us=st.integers(), rest_us=st.integers())),
)
readings = some(
    extent=st.sampled_from(["full", "changed", "unknown"]),
    versions=st.text("<>=. 0123", max_size=8),
    unknown=st.lists(some(line=st.integers(), text=st.text(max_size=4)), max_size=3),
)


@settings(deadline=None, max_examples=60)
@given(models, builds, readings)
def test_nothing_raises(model: Any, build: Any, reading: Any) -> None:
    found: Any = facts(model, build, SECTIONS, reading)
    assert tuple(found) == SECTIONS
    for id in model["ports"] if isinstance(model.get("ports"), dict) else ():
        assert not id or {"idle", "extra", "clash", "plan"} <= set(found["serial"]["port"][id])


def test_promised_keys_of_nothing() -> None:
    found: Any = facts({}, {}, SECTIONS)
    assert set(found["serial"]["carriers"]) == set(found["serial"]["contested"]) == set(JOBS)
    assert found["serial"]["busy"] == []
    assert found["osd"]["wanted"] == []
    assert found["file"]["unknown"] == Missing(("reading.unknown",))


def test_only_what_is_wanted() -> None:
    assert set(facts({}, {}, {"osd", "no such section"})) == {"osd"}


def test_many_unknown_lines_are_not_all_named() -> None:
    unknown: Any = [{"line": line, "text": f"glow {line}"} for line in range(1, 31)]
    found: Any = facts({}, {}, {"file"}, {"unknown": unknown})["file"]["unknown"]
    assert found["count"] == 30
    assert found["lines"].endswith("12 and 18 more")
    assert found["first"] == "glow 1"

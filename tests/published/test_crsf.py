"""CRSF against the published specification and a reference decoder.

Sources, named in each fact file: the CRSF specification (tbs-crsf-spec 1285bbc, CC BY-SA 4.0) and
crsf-parser 0.3.2 (MIT, PyPI).
"""

from __future__ import annotations

import pytest
from crsf_parser.frames import crsf_frame
from crsf_parser.handling import crsf_frame_crc
from crsf_parser.payloads import PAYLOADS_SIZE

from cfgaudit.derive import crsf
from cfgaudit.derive.line.framing import bits_a_byte, frame_us
from tests.published.rows import rows

# crsf-parser reads a heartbeat of one byte and a video transmitter frame that the specification
# does not have; the sizes of the specification are the ones held here.
_PARSER_DIFFERS = {0x0B, 0x0F}

_DESCENDING = tuple(range(1672, 171, -100))


@pytest.mark.parametrize("row", rows("crsf_frame_sizes"), ids=lambda row: row["type"])
def test_frame_size(row: dict[str, str]) -> None:
    kind = crsf.FRAME_TYPES[int(row["type"], 16)]
    assert kind.name == row["name"]
    assert kind.payload_bytes == int(row["payload_bytes"])
    assert kind.frame_bytes == int(row["frame_bytes"]) <= crsf.FRAME_MAX_BYTES
    assert kind.length_byte == int(row["length_byte"])


def test_no_frame_type_is_unpublished() -> None:
    assert set(crsf.FRAME_TYPES) == {int(row["type"], 16) for row in rows("crsf_frame_sizes")}


@pytest.mark.parametrize("row", rows("crsf_frames"), ids=lambda row: row["name"])
def test_published_frame(row: dict[str, str]) -> None:
    whole = bytes.fromhex(row["hex"])
    kind = crsf.FRAME_TYPES[whole[2]]
    assert len(whole) == int(row["bytes"]) == kind.frame_bytes
    assert whole[1] == kind.length_byte
    assert crsf.crc8(whole[2:-1]) == whole[-1] == crsf_frame_crc(whole)
    assert crsf.frame(whole[2], whole[3:-1]) == whole


def test_published_channels() -> None:
    """The file's second frame carries 1672 down to 172 in channels 1 to 16."""
    (row,) = (row for row in rows("crsf_frames") if "1672 down to 172" in row["name"])
    assert crsf.unpacked(bytes.fromhex(row["hex"])[3:-1]) == _DESCENDING


@pytest.mark.parametrize("ticks", [(992,) * 16, (0,) * 16, (2047,) * 16, _DESCENDING])
def test_reference_decoder_reads_our_channels(ticks: tuple[int, ...]) -> None:
    """The decoder of crsf-parser 0.3.2 lists channels backwards: its index 0 is channel 16."""
    whole = crsf.frame(crsf.RC_TYPE, crsf.packed(ticks))
    read = crsf_frame.parse(whole)
    assert tuple(reversed(read.payload.channels)) == ticks
    assert whole[-1] == read.CRC
    assert crsf.unpacked(whole[3:-1]) == ticks


def test_sizes_agree_with_reference_decoder() -> None:
    sizes = {int(getattr(kind, "value", kind)): size for kind, size in PAYLOADS_SIZE.items()}
    shared = set(sizes) - _PARSER_DIFFERS
    assert shared
    assert {kind: crsf.FRAME_TYPES[kind].payload_bytes for kind in shared} == {
        kind: sizes[kind] for kind in shared
    }


@pytest.mark.parametrize(
    "row",
    [row for row in rows("serial_links") if row["protocol"].startswith("CRSF")],
    ids=lambda row: row["baud"],
)
def test_frame_time(row: dict[str, str]) -> None:
    """Rates and the 26-byte channel frame: specification, Hardware section; 420,000 from memory."""
    assert int(row["baud"]) in {crsf.DUAL_WIRE_BAUD, crsf.SINGLE_WIRE_BAUD, crsf.COMMON_BAUD}
    assert int(row["bits_per_char"]) == bits_a_byte(row["format"])
    assert crsf.FRAME_TYPES[crsf.RC_TYPE].frame_bytes == int(row["frame_bytes"])
    assert frame_us(26, int(row["baud"]), row["format"]) == pytest.approx(float(row["frame_us"]), abs=0.051)

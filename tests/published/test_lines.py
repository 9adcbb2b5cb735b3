"""Sizes and times of frames on serial lines against published frames and reference decoders.

Sources: row by row in facts/serial_links.csv; crsf-parser, pyubx2, pynmea2 and pymavlink from the
package registry build or read the frames whose sizes are used here.
"""

from __future__ import annotations

import pytest
from crsf_parser.frames import crsf_frame
from pymavlink.dialects.v20 import common as mavlink
from pynmea2 import NMEASentence
from pyubx2 import GET, UBXMessage, UBXReader

from cfgaudit.derive.line.frames import ESC, MAVLINK, NMEA, RECEIVER, UBX
from cfgaudit.derive.line.framing import bits_a_byte, bits_to_first_stop, capacity_bytes, frame_us
from cfgaudit.derive.line.redraw import MSP_OVERHEAD_BYTES
from tests.published.rows import rows

# The file's name of a protocol → the frame that is used here. SUMD, IBUS sensors and the like as there.
LINKS = {
    "CRSF dual wire": RECEIVER["crsf"],
    "CRSF single wire": RECEIVER["crsf"],
    "CRSF (common practice)": RECEIVER["crsf"],
    "SBUS": RECEIVER["sbus"],
    "IBUS servo": RECEIVER["ibus"],
    "DSM remote receiver": RECEIVER["dsm"],
    "SUMD 16ch": RECEIVER["sumd"],
    "GHST": RECEIVER["ghst"],
    "FPort": RECEIVER["fport"],
    "ESC serial telemetry": ESC,
    "NMEA 0183 max sentence": NMEA,
    "UBX-NAV-PVT": UBX["NAV-PVT"],
    "MAVLink2 PARAM_VALUE": MAVLINK["PARAM_VALUE"],
}


@pytest.mark.parametrize("row", rows("serial_links"), ids=lambda row: row["protocol"])
def test_frame_and_times(row: dict[str, str]) -> None:
    format, baud = row["format"], int(row["baud"])
    assert bits_a_byte(format) == int(row["bits_per_char"])
    assert capacity_bytes(baud, format) == pytest.approx(float(row["bytes_per_s"]), abs=0.01)
    assert frame_us(int(row["frame_bytes"]), baud, format) == pytest.approx(float(row["frame_us"]), abs=0.06)
    if row["protocol"] in LINKS:
        frame = LINKS[row["protocol"]]
        assert (frame.bytes, frame.format) == (int(row["frame_bytes"]), format)
        if row["protocol"] != "CRSF (common practice)":  # there the rate is from memory, not the frame
            assert ("memory" in frame.source) == ("memory" in row["status"])


def test_a_second_stop_bit_is_of_no_account() -> None:
    assert (bits_to_first_stop("8E2"), bits_to_first_stop("8N1")) == (11, 10)


@pytest.mark.parametrize("row", rows("ubx_frames"), ids=lambda row: row["message"])
def test_ubx_frames(row: dict[str, str]) -> None:
    """Built with pyubx2, and read back by it."""
    frame = bytes.fromhex(row["hex"])
    assert len(frame) == int(row["frame_bytes"]) == int(row["payload_bytes"]) + 8
    if row["message"] in UBX:
        assert UBX[row["message"]].bytes == len(frame)
        assert UBXReader.parse(frame).identity == row["message"]


@pytest.mark.parametrize("name", UBX)
def test_ubx_sizes_by_the_reference_library(name: str) -> None:
    kind, message = name.split("-")
    assert len(UBXMessage(kind, f"{kind}-{message}", GET, iTOW=0).serialize()) == UBX[name].bytes


@pytest.mark.parametrize("name", MAVLINK)
def test_mavlink_sizes_by_the_reference_library(name: str) -> None:
    """A MAVLink 2 frame without signature: 10 bytes before the payload and 2 after it."""
    message = getattr(mavlink, f"MAVLink_{name.lower()}_message")
    assert message.unpacker.size + 12 == MAVLINK[name].bytes


@pytest.mark.parametrize(
    "row", rows("mavlink_param_value"), ids=lambda row: f"{row['version']}-{row['param_id']}"
)
def test_mavlink_frames(row: dict[str, str]) -> None:
    """Whole version 2 frames, as pymavlink writes them, are no longer than the size used here."""
    if row["version"] == "2":
        assert len(bytes.fromhex(row["hex"])) == MAVLINK["PARAM_VALUE"].bytes


def test_nmea_sentences_fit() -> None:
    """The long sentences of receivers, read by pynmea2, keep within 82 characters, line end included."""
    gga = "$GPGGA,184353.07,1929.045,S,02410.506,E,1,04,2.6,100.00,M,-33.9,M,,0000*6D"
    rmc = "$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68"
    for sentence in (gga, rmc):
        assert isinstance(NMEASentence.parse(sentence), NMEASentence)
        assert len(sentence) + 2 <= NMEA.bytes


@pytest.mark.parametrize("row", rows("msp_frames"), ids=lambda row: f"v{row['version']}-{row['function']}")
def test_msp_overhead(row: dict[str, str]) -> None:
    """Framing as common practice, from memory: six bytes around a version 1 payload."""
    overhead = len(bytes.fromhex(row["frame_hex"])) - len(bytes.fromhex(row["payload_hex"]))
    assert overhead == int(row["overhead_bytes"])
    if row["version"] == "1":
        assert overhead == MSP_OVERHEAD_BYTES


def test_crsf_channels_by_the_reference_parser() -> None:
    """A channel frame as crsf-parser builds it."""
    row = next(row for row in rows("crsf_frames") if row["name"].startswith("rc"))
    built = crsf_frame.parse(bytes.fromhex(row["hex"]))
    assert len(crsf_frame.build(built)) == RECEIVER["crsf"].bytes == int(row["bytes"])

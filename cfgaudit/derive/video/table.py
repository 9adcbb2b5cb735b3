"""The video link with its sums."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.inputs import above_zero
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree, told, word
from cfgaudit.derive.video.channels import WIFI
from cfgaudit.derive.video.regulation import dbm_of
from cfgaudit.derive.video.section import channel_mhz, general, occupied

_WIFI = "IEEE 802.11, 17.3.8.3.2 and Annex J"
_ANALOGUE = "the lettered band plan: common practice, from memory"
_DATASET = "wireless-regdb 2026.05.30, rules for Wi-Fi: an indication only, the country's authority decides"
_AGREE = ("video/channels-differ",)
_GENERAL = ("video/no-general-rule", "video/power-beyond-general-rule", "video/radar")


def table(model: Tree, build: Tree) -> Table:
    """The channels' frequencies, the band taken, and the published general rule for it."""
    return Table("video", "the video link's frequency, band and power", tuple(_rows(build)))


def _rows(build: Tree) -> Iterator[Quantity]:
    plan = word(build, "video_link", "band_plan")
    source = _WIFI if plan.upper() == WIFI else _ANALOGUE
    for who, key in (("unit in the air", "air_channel"), ("unit on the ground", "ground_channel")):
        mhz = channel_mhz(build, key)
        channel = f"{plan} {told(build, 'video_link', key)}"
        sum = "" if isinstance(mhz, Missing) else f"band plan and channel {channel}"
        yield Quantity(who, "centre frequency", mhz, "MHz", sum, source, _AGREE)
    band, wide = occupied(build), told(build, "video_link", "bandwidth_mhz")
    if isinstance(band, Missing):
        yield Quantity("link", "band taken", band, "MHz", "", "", _GENERAL)
    else:
        low, high = (figure(edge, 5) for edge in band)
        spoken = f"centre ± {figure(float(wide), 5) if isinstance(wide, int | float) else '?'} ÷ 2 MHz"
        yield Quantity("link", "band taken", f"{low} to {high}", "MHz", spoken, "", _GENERAL)
    rule, country = general(build), word(build, "video_link", "country")
    if isinstance(rule, Missing):
        yield Quantity("link", "general rule", rule, "mW", "", _DATASET, _GENERAL)
    elif rule is None:
        yield Quantity(
            "link",
            "general rule",
            "none",
            "",
            f"no one rule of {country} covers the band",
            _DATASET,
            _GENERAL,
        )
    else:
        flags = f", {', '.join(sorted(rule.flags))}" if rule.flags else ""
        edges = f"{figure(rule.start_mhz, 6)} to {figure(rule.end_mhz, 6)} MHz"
        spoken = f"{country}, {edges}: {rule.max_eirp_dbm:g} dBm{flags}"
        yield Quantity(
            "link", "general rule, at most", round(rule.max_mw, 1), "mW EIRP", spoken, _DATASET, _GENERAL
        )
    power = above_zero(build, "build", "video_link", "power_mw")
    sent = "" if isinstance(power, Missing) else f"{dbm_of(power):.2f} dBm"
    yield Quantity("link", "power sent", power, "mW", sent, "", _GENERAL)

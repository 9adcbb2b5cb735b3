"""Figures about the video link: section ``video`` of what rules see as ``derived``.

::

    air_mhz, ground_mhz centre frequency of the unit's and the goggles' channel
    low_mhz, high_mhz   the band that the link takes: centre ± half its bandwidth
    covered             whether one published general rule covers that band
    max_mw              what that rule allows; 0 if none covers the band
    radar               whether the band must give way to radar
"""

from __future__ import annotations

from cfgaudit.derive.inputs import above_zero
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, told, whole, word
from cfgaudit.derive.video.channels import centre_mhz
from cfgaudit.derive.video.regulation import RADAR, General, covering, general_rules


def video(build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    air, ground = channel_mhz(build, "air_channel"), channel_mhz(build, "ground_channel")
    band, country = occupied(build), word(build, "video_link", "country")
    return {
        "air_mhz": air,
        "ground_mhz": ground,
        "low_mhz": band if isinstance(band, Missing) else band[0],
        "high_mhz": band if isinstance(band, Missing) else band[1],
        **_general(general(build), country),
    }


def channel_mhz(build: Tree, key: str) -> int | Missing:
    """The centre frequency of the unit's or the goggles' channel."""
    plan, channel = word(build, "video_link", "band_plan"), whole(build, "video_link", key)
    if not plan:
        return Missing(("build.video_link.band_plan",))
    if channel is None:
        written = told(build, "video_link", key)
        reason = "" if written is None else f"the channel {written} is no number of that band plan"
        return Missing((f"build.video_link.{key}",), reason)
    try:
        return centre_mhz(plan, channel)
    except ValueError as unknown:
        return Missing((f"build.video_link.{key}",), str(unknown))


def occupied(build: Tree) -> tuple[float, float] | Missing:
    """The band that the link takes, in MHz."""
    air, wide = channel_mhz(build, "air_channel"), above_zero(build, "build", "video_link", "bandwidth_mhz")
    if isinstance(air, Missing):
        return air
    if isinstance(wide, Missing):
        return wide
    return air - wide / 2, air + wide / 2


def general(build: Tree) -> General | Missing | None:
    """The published general rule that covers the band wholly; None if there is none."""
    band, country = occupied(build), word(build, "video_link", "country")
    if isinstance(band, Missing):
        return band
    if not country:
        return Missing(("build.video_link.country",))
    if not general_rules(country):
        return Missing(("build.video_link.country",), f"the dataset has no rules for {country}")
    return covering(country, *band)


def _general(rule: General | Missing | None, country: str) -> dict[str, Figure]:
    if isinstance(rule, Missing):
        return dict.fromkeys(("covered", "max_mw", "radar"), rule)
    return {
        "covered": rule is not None,
        "max_mw": round(rule.max_mw, 1) if rule else 0,
        "radar": rule is not None and RADAR in rule.flags,
    }

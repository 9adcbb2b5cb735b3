"""Channels and general rules against published tables.

Sources: facts/wifi_channels.csv (IEEE 802.11 numbering); facts/fpv58_bands.csv (the lettered plan from
memory; its rule columns from wireless-regdb 2026.05.30 for the centre ± 10 MHz, an indication only).
"""

from __future__ import annotations

import pytest

from cfgaudit.derive.video.channels import ANALOGUE, centre_mhz
from cfgaudit.derive.video.regulation import covering, dbm_of, general_rules, mw_of
from tests.published.rows import rows

COUNTRIES = ("DE", "US", "GB", "JP")


@pytest.mark.parametrize("row", rows("wifi_channels"), ids=lambda row: f"{row['band']}-{row['channel']}")
def test_wifi_channels(row: dict[str, str]) -> None:
    assert centre_mhz("wifi", int(row["channel"])) == int(row["centre_mhz"])


@pytest.mark.parametrize("row", rows("fpv58_bands"), ids=lambda row: f"{row['band']}{row['channel']}")
def test_lettered_channels_and_their_rules(row: dict[str, str]) -> None:
    mhz = centre_mhz(row["band"], int(row["channel"]))
    assert mhz == int(row["mhz"])
    for country in COUNTRIES:
        rule = covering(country, mhz - 10, mhz + 10)
        said = row[f"{country}_eirp_dbm"]
        if said == "none":
            assert rule is None
        else:
            assert rule is not None
            assert rule.max_eirp_dbm == float(said)
            assert rule.flags == frozenset(row[f"{country}_flags"].split("|")) - {""}


def test_every_channel_is_in_the_published_plan() -> None:
    assert len(rows("fpv58_bands")) == sum(len(channels) for channels in ANALOGUE.values())


def test_milliwatts() -> None:
    """25 mW are 13.979 dBm; the dataset has 13.97, and means 25 mW."""
    assert dbm_of(25) == pytest.approx(13.979, abs=0.001)
    assert mw_of(dbm_of(25)) == pytest.approx(25)
    rule = covering("DE", 5790, 5810)
    assert rule is not None
    assert round(rule.max_mw, 1) == 25.0


def test_a_country_that_the_dataset_does_not_have() -> None:
    assert general_rules("ZZ") == ()


@pytest.mark.parametrize(("plan", "channel"), [("Q", 1), ("F", 9), ("F", 0), ("wifi", 15), ("wifi", 200)])
def test_what_is_no_channel_is_not_guessed(plan: str, channel: int) -> None:
    with pytest.raises(ValueError, match=r"not known here|has the channels|has no channel"):
        centre_mhz(plan, channel)

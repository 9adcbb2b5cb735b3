"""The published general rules for radio by country: an indication, never an answer.

Source: the open regulatory dataset wireless-regdb 2026.05.30 (Debian; ISC licence), decoded, in
``regdb.csv`` beside this file. Its rules are those for Wi-Fi; other uses of the same band may have
others. What is allowed, the authority of the country says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from msgspec import Struct

RADAR = "DFS"  # the dataset's flag for bands that must give way to radar


class General(Struct, frozen=True):
    """One general rule: a band, and the power radiated in it at most."""

    start_mhz: float
    end_mhz: float
    max_eirp_dbm: float
    flags: frozenset[str]

    @property
    def max_mw(self) -> float:
        """The power in mW. The dataset cuts hundredths of a dB: 25 mW stand there as 13.97 dBm."""
        return mw_of(self.max_eirp_dbm + 0.01)

    def covers(self, low_mhz: float, high_mhz: float) -> bool:
        """Whether a band lies wholly in this one."""
        return self.start_mhz <= low_mhz and high_mhz <= self.end_mhz


def mw_of(dbm: float) -> float:
    """dBm → mW."""
    return math.pow(10, dbm / 10)


def dbm_of(mw: float) -> float:
    """mW → dBm; ``mw`` above 0."""
    return 10 * math.log10(mw)


def general_rules(country: str) -> tuple[General, ...]:
    """The rules of a country by its two letters; none if the dataset does not have it."""
    return tuple(_rules(country.upper()))


def covering(country: str, low_mhz: float, high_mhz: float) -> General | None:
    """The rule that covers a band wholly, the one with the most power of several; None if none does."""
    found = [rule for rule in general_rules(country) if rule.covers(low_mhz, high_mhz)]
    return max(found, key=lambda rule: rule.max_eirp_dbm, default=None)


def _rules(country: str) -> Iterator[General]:
    """A country's lines of the dataset: code, radar region, start, end, bandwidth, power, flags."""
    for line in _lines():
        if line.startswith(f"{country},"):
            _, _, start, end, _, power, flags = line.split(",")
            yield General(float(start), float(end), float(power), frozenset(flags.split("|")) - {""})


@cache
def _lines() -> tuple[str, ...]:
    return tuple(Path(__file__).with_name("regdb.csv").read_text("utf-8").splitlines()[2:])

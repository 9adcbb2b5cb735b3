"""Everything that a configuration is judged by, as one thing to ask."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from cfgaudit.audit.audit import NONE, audit
from cfgaudit.audit.finding import Audit
from cfgaudit.audit.remedy import Remedy, remedied
from cfgaudit.audit.rule import Rule
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.sheet import Build
from cfgaudit.model.terms import Terms


class Judge(Struct, frozen=True):
    """A build sheet, the rules, what a user says about them, and the day."""

    sheet: Build
    rules: tuple[Rule, ...]
    terms: Terms = NONE
    today: date = date.max

    def __call__(self, reading: Reading) -> Audit:
        """The audit of a configuration."""
        return audit(reading, self.sheet, self.rules, self.terms, self.today)

    def remedied(self, reading: Reading, found: Audit) -> Remedy:
        """A configuration that was judged, with every finding mended that can be."""
        return remedied(reading, self.sheet, self.rules, found, self.terms, self.today)

"""Everything that a configuration is judged by, as one thing to ask."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from cfgaudit.audit.audit import NONE, audit
from cfgaudit.audit.finding import Audit
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

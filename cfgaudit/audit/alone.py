"""Rules against a build sheet alone: those that need nothing of any dump."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.audit.audit import NONE, judged
from cfgaudit.audit.evidence import Evidence, without_missing
from cfgaudit.audit.finding import Audit, Sight
from cfgaudit.audit.rule import Rule
from cfgaudit.audit.weigh import weighed
from cfgaudit.derive.alone import figures_alone
from cfgaudit.dialect.write import Lines
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place
from cfgaudit.model.sheet import Build
from cfgaudit.model.terms import Terms
from cfgaudit.model.value import Value


def audit_alone(sheet: Build, rules: Iterable[Rule], terms: Terms = NONE, today: date = date.max) -> Audit:
    """What the rules find in the sheet itself. Those that a dump has a say in are not among the answers.

    ``not_judged`` holds what a rule lacks that needs no dump; acceptances of what only an audit can find
    are not among the ``unheeded``. ``terms`` and ``today`` are as for an audit.
    """
    weighty, changes = weighed(rules, terms.levels)
    free = tuple(rule for rule in weighty if needs_no_model(rule))
    outcome = judged(free, evidence_alone(sheet, free), terms.accepted, today)
    asked = {rule.id for rule in free}
    return replace(
        outcome,
        not_judged=tuple(one for one in outcome.not_judged if one.lacks),
        unheeded=tuple(one for one in outcome.unheeded if one.entry.rule in asked),
        weighed=changes,
    )


def needs_no_model(rule: Rule) -> bool:
    """Whether nothing that a rule judges by is the dump's to say."""
    paths = (*rule.needs, *(loop.path for loop in rule.each))
    return "model" not in {*(mention[0] for mention in rule.mentions), *(path.start for path in paths)}


def evidence_alone(sheet: Build, rules: Iterable[Rule]) -> Evidence:
    """The sheet, and the figures that hang on it alone: what else a rule looks for is not there."""
    wanted = {section for rule in rules for section in rule.sections}
    figures = figures_alone(sheet.tree, wanted)
    derived = {name: without_missing(section) for name, section in figures.items()}
    return Evidence({}, sheet.tree, figures, derived, Desk(sheet))


class Desk(Struct, frozen=True):
    """The source of what is judged without a dump: the sheet's own places."""

    sheet: Build

    def found(self, path: Path) -> Sight | None:
        """See Source."""
        return None

    def declared(self, path: Path) -> Sight | None:
        """See Source. Of what is not written, its nearest written ancestor."""
        place = self.sheet.place(path)
        return Sight(place, self.sheet.line(place))

    def line(self, number: int) -> Sight | None:
        """See Source."""
        return None

    def where_to_declare(self, path: Path) -> Place | None:
        """See Source."""
        return self.sheet.place(path)

    def owed(self, path: Path) -> Path:
        """See Source."""
        return ()

    def lines(self, wanted: Mapping[Path, Value]) -> Lines:
        """See Source. Without a dump nothing is written."""
        return Lines((), (), ("there is no dump to mend",))

"""A rule's own cases: small configurations with the answer that it must give."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from cfgaudit.audit.audit import evidence
from cfgaudit.audit.finding import NotJudged, Sight
from cfgaudit.audit.judge import Fails, judge
from cfgaudit.audit.rule import Case, Rule
from cfgaudit.dialect.write import Lines
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place
from cfgaudit.model.sheet import normalise
from cfgaudit.model.value import Value


class Wrong(Struct, frozen=True):
    """A case that a rule does not answer as it says."""

    rule: str
    place: Place
    text: str


class Paper:
    """The source of a case: it stands in no dump and no build sheet."""

    def found(self, path: Path) -> Sight | None:
        return None

    def declared(self, path: Path) -> Sight | None:
        return None

    def line(self, number: int) -> Sight | None:
        return None

    def where_to_declare(self, path: Path) -> Place | None:
        return None

    def owed(self, path: Path) -> Path:
        return ()

    def lines(self, wanted: Mapping[Path, Value]) -> Lines:
        return Lines((), ())


def check_case(rule: Rule, case: Case) -> Wrong | None:
    """What is wrong with a rule's answer to one of its cases, or None."""
    seen = evidence((rule,), case.model, normalise(dict(case.build)), case.reading, Paper())
    answers = tuple(judge(rule, seen))
    failed = [answer.finding for answer in answers if isinstance(answer, Fails)]
    open_ = [answer for answer in answers if isinstance(answer, NotJudged)]
    given = "fails" if failed else "not_judged" if open_ else "holds"
    texts = [finding.text for finding in failed] if failed else [_open_at(answer) for answer in open_]
    if given != case.answer:
        said = f" ({'; '.join(texts)})" if texts else ""
        return Wrong(rule.id, case.place, f"should be {case.answer!r} and is {given!r}{said}")
    if case.says and not any(case.says in text for text in texts):
        return Wrong(rule.id, case.place, f"says {'; '.join(texts)!r}, not {case.says!r}")
    return None


def _open_at(answer: NotJudged) -> str:
    return f"{answer.missing}, {answer.where}" if answer.where else answer.missing

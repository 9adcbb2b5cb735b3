"""Rules by subject, by level and by words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.audit.rule import Rule
from cfgaudit.model.refusal import Refusal


def search(
    rules: Iterable[Rule], words: Iterable[str] = (), subject: str = "", level: str = ""
) -> Iterator[Rule]:
    """The rules of a subject and a level, "" for all, in which each of the words is.

    A word is looked for in the id, the title and the reason, in small letters or large. Raises Refusal
    on a subject that no rule has.
    """
    rules, sought = tuple(rules), [word.casefold() for word in words]
    subjects = sorted({rule.subject for rule in rules})
    if subject and subject not in subjects:
        raise Refusal(f"no rule is about {subject}", f"name one of {', '.join(subjects)}")
    for rule in rules:
        text = " ".join((rule.id, rule.title, rule.why)).casefold()
        fits = subject in ("", rule.subject) and level in ("", rule.level)
        if fits and all(word in text for word in sought):
            yield rule

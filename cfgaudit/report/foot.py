"""What stands below findings: how many there are, and the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.audit.finding import Audit
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING, caution_for, hazards_in, told
from cfgaudit.report.finding import ROLES
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line, Span
from cfgaudit.report.tally import Tally
from cfgaudit.report.words import counted, packed, wrapped


def tally_spans(counts: Tally) -> tuple[Span, ...]:
    """How many findings of each level there are, what follows from them, and the rules that hold."""
    found: list[Span] = []
    for level, number in counts.findings.items():
        if number:
            found += [("plain", ", "), (ROLES[level], counted(number, level.value))]
    follow = "follows" if counts.consequences == 1 else "follow"
    return (
        *(found[1:] or [("plain", "no findings")]),
        ("plain", f" · {counts.consequences} more {follow} from them" if counts.consequences else ""),
        ("plain", f" · {counts.accepted} accepted" if counts.accepted else ""),
        ("plain", f" · {counts.holding} {'rule holds' if counts.holding == 1 else 'rules hold'}"),
    )


def caution_lines(audit: Audit) -> Iterator[Line]:
    """What can hurt among the findings, what always holds, and what an audit does not say."""
    yield from hazard_lines(hazards_in(told(audit)))
    yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", AUDIT_LIMIT),)


def hazard_lines(hazards: Iterable[str]) -> Iterator[Line]:
    """The cautions of these hazards."""
    cautions = [caution_for(word) for word in hazards]
    width = max((len(safe(caution.mark)) for caution in cautions), default=0)
    for caution in cautions:
        sentence = wrapped(caution.sentence, width + 5)
        yield (("warning", f"! {safe(caution.mark):<{width}}"), ("plain", f"   {next(sentence)}"))
        yield from ((("plain", f"{' ' * (width + 5)}{more}"),) for more in sentence)

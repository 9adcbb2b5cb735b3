"""One craft of many, audited and held against its baseline: the work of a job.

What is the same for all craft of a run (rules, dialects) is read once in each process.
"""

from __future__ import annotations

import gc
import signal
from functools import cache, lru_cache

from cfgaudit import __version__
from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import book, checked_rules, require_known, shipped_rules
from cfgaudit.audit.finding import Audit
from cfgaudit.audit.rule import Rule
from cfgaudit.baseline.drift import drift
from cfgaudit.compare.change import Change
from cfgaudit.compare.fleet.configuration import configuration
from cfgaudit.compare.fleet.job import NO_PAGE, Job, Page
from cfgaudit.compare.fleet.row import (
    Audited,
    Changed,
    Drifted,
    Examined,
    Faulty,
    NoBaseline,
    Outcome,
    in_short,
)
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.intake import reading_of
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.seal import KEY_BYTES, Sealer
from cfgaudit.dialect.shelf import named_dialect, own_dialect
from cfgaudit.model.model import Leaf
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build, build_from

HEAVIEST = 20  # changes since the baseline that are kept by name
SHELF = 16  # own rule books and dialects that a process keeps
_UNJUDGED = Audit((), (), ())


def examined(job: Job) -> Outcome:
    """The audit of one craft, and how it differs from its baseline; or why there is none."""
    if job.unread:
        return Faulty(job.craft, job.unread)
    try:
        return _examined(job)
    except Refusal as refusal:
        return Faulty(job.craft, str(refusal))
    except Exception as fault:  # one craft's trouble keeps none of the others back
        return fell(job, type(fault).__name__)


def fell(job: Job, reason: str) -> Faulty:
    """The row of a craft at which a worker ended."""
    what = f"{job.dump.name}: its audit broke off ({reason}); audit this craft by itself to see why"
    return Faulty(job.craft, what)


def _examined(job: Job) -> Examined:
    sheet = build_from(read_yaml(job.sheet.data, job.sheet.name), remembered=False)
    terms = job.terms.and_then(sheet.terms)
    rules = _rules(job.rules)
    require_known(terms, rules)
    reading = _reading(job, job.dump, sheet)
    outcome = audit(reading, sheet, rules, terms, job.today)
    row = Audited(
        craft=job.craft,
        dump=job.dump.name,
        sheet=job.sheet.name,
        firmware=_word(reading, "name"),
        version=_word(reading, "version"),
        board=_word(reading, "board"),
        dialect=reading.dialect_name,
        findings=in_short(outcome),
        hazards=tuple(dict.fromkeys(one.finding.hazard for one in outcome.accepted if one.finding.hazard)),
        accepted=len(outcome.accepted),
        holding=len(outcome.holding),
        not_judged=len(outcome.not_judged),
        not_understood=len(reading.unknown),
        drift=_drift(job, reading, sheet),
    )
    return Examined(row, configuration(reading, sheet, job.salt))


def _drift(job: Job, fresh: Reading, sheet: Build) -> Drifted | NoBaseline:
    if job.baseline == NO_PAGE:
        return NoBaseline(job.baseline_named)
    # without the user's key all seals count as another one's, and nothing is said of them
    sealer = Sealer(job.key or job.salt.ljust(KEY_BYTES, b"\0"))
    recorded = _reading(job, job.baseline, sheet)
    found = drift(recorded, fresh, sealer, lambda _: _UNJUDGED)
    changes = found.changes.changes
    return Drifted(
        baseline=job.baseline.name,
        recorded=found.facts.when,
        changes=len(changes),
        heaviest=tuple(map(_changed, changes[:HEAVIEST])),
        sealed_otherwise=found.sealed_otherwise,
    )


def _changed(change: Change) -> Changed:
    return Changed(change.weight.value, change.subject, change.text)


def _reading(job: Job, page: Page, sheet: Build) -> Reading:
    return reading_of(page.data, page.name, sheet.port_numbers, _chosen(job.dialect, job.own_dialect))


@lru_cache(SHELF)
def _chosen(name: str, own: Page) -> tuple[Dialect, ...]:
    if own != NO_PAGE:
        return (own_dialect(read_yaml(own.data, own.name)),)
    return (named_dialect(name),) if name else ()


def version() -> str:
    """Which cfgaudit does the work, wherever this runs."""
    return __version__


def ready() -> None:
    """Make a process ready for many jobs: load what they share, and have memory freed as they go.

    A worker leaves interrupts to the process that has hired it.
    """
    import multiprocessing

    _shipped()
    if multiprocessing.parent_process() is not None:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        gc.collect()
        gc.freeze()  # what is shared stays: looking through it for something to free takes time
    gc.enable()


@cache
def _shipped() -> tuple[Rule, ...]:
    return shipped_rules()


@lru_cache(SHELF)
def _rules(pages: tuple[Page, ...]) -> tuple[Rule, ...]:
    return book(_shipped(), *(checked_rules(read_yaml(page.data, page.name)) for page in pages))


def _word(reading: Reading, key: str) -> str:
    leaf = reading.model.at(("firmware", key))
    return str(leaf.value) if isinstance(leaf, Leaf) else ""

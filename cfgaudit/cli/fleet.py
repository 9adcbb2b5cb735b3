"""cfgaudit fleet: audit and drift of many craft at once, and who differs from most of its kind."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import closing, nullcontext
from functools import cache
from typing import TYPE_CHECKING, Any

import click
from msgspec import Struct

import cfgaudit
from cfgaudit.cli.fleet_folder import Files, Fleet, Site, fleet_in
from cfgaudit.cli.main import FAULT, FOUND
from cfgaudit.cli.options import fail_at_option, key_option, reaches
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from datetime import date

    from cfgaudit.compare.fleet.job import Job, Page
    from cfgaudit.compare.fleet.row import Outcome
    from cfgaudit.model.terms import RuleFolder
    from cfgaudit.report.fleet.paper import FleetPaper

FEW = 16  # craft; so few are done before workers have started
PATIENCE = 10  # seconds until a scheduler must have answered
AHEAD = 4  # jobs per worker that are under way or waiting
_SAME = "start workers, and install cfgaudit {} there and where the scheduler runs"
_START = "forkserver"  # without the parent's threads, and with what is loaded shared; Windows has none


class Run(Struct, frozen=True):
    """What all jobs of one run have in common."""

    today: date
    salt: bytes
    key_file: str


@click.command("fleet")
@click.argument("folder", metavar="FOLDER")
@click.option("--only", multiple=True, metavar="CRAFT", help="This craft alone; may come several times.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@fail_at_option("The level from which findings make the exit code 1; drift always does, but with never.")
@click.option("--all", "everything", is_flag=True, help="List all that is found, not the first few.")
@click.option(
    "--jobs", type=click.IntRange(1, 1024), default=None, metavar="N", help="Processes; else one a core."
)
@click.option("--cluster", default="", metavar="ADDRESS", help="The scheduler of a dask.distributed cluster.")
@key_option()
def command(
    folder: str,
    only: tuple[str, ...],
    form: str,
    fail_at: str,
    everything: bool,
    jobs: int | None,
    cluster: str,
    key: str,
) -> int:
    """Audit all craft below FOLDER, hold each against its baseline, and the settings of a kind together.

    Craft are those that a cfgaudit.yaml lists, there or in a folder below; without one, each folder with a
    build.yaml and one dump is a craft. One that cannot be read is told, and keeps no other back.

    \b
    Example: cfgaudit fleet hangar --fail-at error
    """
    from cfgaudit.baseline.key import usual_key_file
    from cfgaudit.cli.clock import today
    from cfgaudit.cli.output import show, style

    if cluster and jobs:
        raise Refusal("--jobs and --cluster both say who does the work", "leave one of them out")
    fleet = fleet_in(folder, only)
    run = Run(today(), os.urandom(16), key or usual_key_file())
    paper = _paper(folder, fleet, _outcomes(fleet.sites, run, _crew(cluster, jobs, len(fleet.sites))))
    if form == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.fleet.data import fleet_json

        show([json_text(fleet_json(paper)).rstrip("\n")])
    else:
        from cfgaudit.report.fleet.fleet import fleet_text

        show(fleet_text(paper, style(), everything=everything))
    return _code(paper, fail_at)


def _code(paper: FleetPaper, fail_at: str) -> int:
    if paper.faults:
        return FAULT
    if fail_at == "never":
        return 0
    found = any(reaches(row.worst, fail_at) or row.has_drifted for row in paper.rows)
    return FOUND if found else 0


def _paper(folder: str, fleet: Fleet, outcomes: Iterator[Outcome]) -> FleetPaper:
    """The rows in the order of the craft; settings are counted as they come, and let go."""
    from cfgaudit.compare.fleet.majority import Kinds
    from cfgaudit.compare.fleet.row import Audited, Faulty
    from cfgaudit.report.fleet.paper import FleetPaper

    kinds = Kinds()
    rows: list[Audited] = []
    faults: list[Faulty] = []
    with closing(outcomes), _progress(len(fleet.sites)) as bar:  # type: ignore[type-var]  # a generator
        for outcome in outcomes:
            if isinstance(outcome, Faulty):
                faults.append(outcome)
            else:
                rows.append(outcome.row)
                kinds.add(outcome.row.craft, outcome.configuration)
            if bar:
                bar.update(1)
    return FleetPaper(cfgaudit.__version__, folder, tuple(rows), tuple(faults), kinds.told(), fleet.left_out)


def _progress(length: int) -> Any:
    """A bar on standard error, for people only."""
    if sys.stderr is None or not sys.stderr.isatty() or length < FEW:
        return nullcontext()
    return click.progressbar(length=length, label="auditing", file=sys.stderr)


# ------------------------------------------------------------------------- who does the work


class Hands(Struct, frozen=True):
    """Who does the work: how many, how they are hired, and how they are let go at once."""

    number: int
    hire: Callable[[], Executor]
    dismiss: Callable[[Executor], None]
    there: Callable[[], bool] = lambda: True


def _crew(cluster: str, jobs: int | None, craft: int) -> Hands | None:
    """The workers for so many craft; None if this process does it."""
    if cluster:
        return _cluster(cluster)
    number = min(jobs or (os.cpu_count() or 1 if craft >= FEW else 1), craft)
    return Hands(number, lambda: _processes(number), _end) if number > 1 else None


def _outcomes(sites: Sequence[Site], run: Run, hands: Hands | None) -> Iterator[Outcome]:
    """What comes of each craft, in order; jobs are made when their turn comes."""
    from cfgaudit.baseline.fleet import examined, fell, ready
    from cfgaudit.compare.fleet.workers import Crew

    jobs = (_job(site, run) for site in sites)
    if hands is None:
        ready()
        yield from map(examined, jobs)
    else:
        crew = Crew(examined, hands.hire, hands.dismiss, fell, hands.there)
        yield from crew.in_order(jobs, hands.number * AHEAD)


def _processes(number: int) -> Executor:
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    from cfgaudit.baseline.fleet import ready

    started = _START if _START in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(started)
    if started == _START:
        context.set_forkserver_preload(["cfgaudit.baseline.fleet"])
    return ProcessPoolExecutor(number, context, ready)


def _end(executor: Executor) -> None:
    """Let workers go in the middle of their work."""
    import multiprocessing

    executor.shutdown(wait=False, cancel_futures=True)
    for worker in multiprocessing.active_children():
        worker.terminate()


def _cluster(address: str) -> Hands:
    """The workers of a cluster that somebody has started. Raises Refusal."""
    import logging
    from importlib import import_module

    from cfgaudit.baseline.fleet import version

    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        what = "--cluster needs dask.distributed, which is not installed"
        raise Refusal(what, "install it: pip install 'cfgaudit[cluster]'") from None
    for name in ("distributed", "distributed.client"):  # what matters is said in rows
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    try:
        client = distributed.Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as fault:
        what = f"no scheduler answers at {address} ({type(fault).__name__})"
        raise Refusal(what, "start it, or check the address: tcp://host:8786") from None
    try:
        there = {*client.run(version).values(), client.submit(version, pure=False).result(timeout=PATIENCE)}
    except Exception as fault:
        what = f"the cluster cannot do the work: asked for its cfgaudit, it says {type(fault).__name__}"
        raise Refusal(what, _SAME.format(cfgaudit.__version__)) from None
    if there != {cfgaudit.__version__}:
        what = f"the cluster has cfgaudit {', '.join(sorted(there))}"
        raise Refusal(what, _SAME.format(cfgaudit.__version__))
    number = sum(client.nthreads().values()) or 1
    return Hands(
        number,
        client.get_executor,
        lambda executor: executor.shutdown(wait=False),
        lambda: client.status == "running",
    )


# ------------------------------------------------------------------------- jobs


def _job(site: Site, run: Run) -> Job:
    """A craft's files, read. What cannot be read is for the worker to say, so that it stands in its row."""
    from cfgaudit.compare.fleet.job import NO_PAGE, Job

    try:
        return _read(site.name, site.files(), run)
    except Refusal as refusal:
        return Job(site.name, NO_PAGE, NO_PAGE, run.today, run.salt, unread=str(refusal))


def _read(name: str, files: Files, run: Run) -> Job:
    from cfgaudit.compare.fleet.job import NO_PAGE, Job

    sheet = _page(files.sheet)
    recorded = bool(files.baseline) and os.path.lexists(files.baseline)
    own = files.dialect.endswith((".yaml", ".yml"))
    return Job(
        craft=name,
        dump=_page(files.dump),
        sheet=sheet,
        today=run.today,
        salt=run.salt,
        terms=files.terms,
        dialect="" if own else files.dialect,
        own_dialect=_page(files.dialect) if own else NO_PAGE,
        rules=tuple(_rules([*files.terms.folders, *_folders(sheet)])),
        baseline=_page(files.baseline) if recorded else NO_PAGE,
        baseline_named=files.baseline,
        key=_key(run.key_file) if recorded else b"",
    )


def _page(path: str) -> Page:
    from cfgaudit.compare.fleet.job import Page
    from cfgaudit.dump.file import read_bytes

    return Page(path, read_bytes(path))


def _folders(sheet: Page) -> tuple[RuleFolder, ...]:
    """The folders of rules that a sheet names; of a faulty one none, which is for the worker to refuse."""
    if b"folder" not in sheet.data:
        return ()
    from cfgaudit.model.placed import read_yaml
    from cfgaudit.model.sheet import build_from

    try:
        return build_from(read_yaml(sheet.data, sheet.name)).terms.folders
    except Refusal:
        return ()


def _rules(folders: Iterable[RuleFolder]) -> Iterator[Page]:
    """The files of these folders, each folder once. Raises Refusal on one without rules."""
    from cfgaudit.audit.book import rule_files

    each = {os.path.abspath(one.path): one for one in reversed([*folders])}
    for one in reversed(each.values()):
        yield from (_page(str(file)) for file in rule_files(one.path, one.place))


@cache
def _key(file: str) -> bytes:
    """The user's key if there is one: it is not made here, since nothing is sealed for keeping."""
    from cfgaudit.baseline.key import sealer_in

    return sealer_in(file, make=False).key if os.path.exists(file) else b""

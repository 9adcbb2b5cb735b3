"""Where an audit's time goes: the stages of one run in a process of its own, over several runs.

python tests/bench/where.py [ROUNDS]
"""

from __future__ import annotations

import os
import pathlib
import statistics
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).parents[2]

STAGES = """
import sys, time
start = told = time.perf_counter()
def stage(name):
    global told
    now = time.perf_counter()
    print(f"{name}\\t{now - told:.6f}")
    told = now
import cfgaudit
from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import rules_by
from cfgaudit.cli.clock import today
from cfgaudit.report.audit import audit_text
from cfgaudit.report.paper import AuditPaper
from cfgaudit.cli.heads import build_head, dump_head
stage("imports")
sheet = cfgaudit.read_build("samples/otter/build.yaml")
stage("build sheet")
reading = cfgaudit.read_dump("samples/otter/after.txt", build=sheet)
stage("dump")
rules = rules_by(sheet.terms, ())
stage("rules")
outcome = audit(reading, sheet, rules, sheet.terms, today())
stage("figures, judging, mends")
list(audit_text(AuditPaper("", dump_head(reading), build_head(sheet)), outcome))
stage("report")
"""


def main(rounds: int) -> None:
    """Print the median of each stage in milliseconds, and its share."""
    with tempfile.TemporaryDirectory() as folder:
        where = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": folder}
        where.pop("PYTHONDONTWRITEBYTECODE", None)
        runs: dict[str, list[float]] = {}
        for n in range(rounds + 1):
            command = [sys.executable, "-c", STAGES]
            done = subprocess.run(command, cwd=ROOT, env=where, capture_output=True, text=True, check=True)
            for line in done.stdout.splitlines() if n else ():  # the first round compiles
                name, _, took = line.partition("\t")
                runs.setdefault(name, []).append(float(took))
    medians = {name: statistics.median(took) * 1e3 for name, took in runs.items()}
    whole = sum(medians.values())
    for name, took in medians.items():
        print(f"{took:7.1f} ms {took / whole:5.0%}  {name}")
    print(f"{whole:7.1f} ms        an audit of otter's dump after the preset, the interpreter's start apart")


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 11)

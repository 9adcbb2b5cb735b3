"""The yardstick for a comparison: hier-config reads two configurations and works out the way between.

`python hier.py A B` is a whole process, as `cfgaudit diff A B` is.
"""

from __future__ import annotations

import pathlib
import sys

from hier_config import Platform, WorkflowRemediation, get_hconfig


def main(before: str, after: str) -> None:
    """Print the lines that lead from the first file to the second."""
    running, wanted = (
        get_hconfig(Platform.GENERIC, pathlib.Path(name).read_text("utf-8")) for name in (before, after)
    )
    for line in WorkflowRemediation(running, wanted).remediation_config.all_children_sorted():
        print(line.cisco_style_text())


if __name__ == "__main__":
    main(*sys.argv[1:])

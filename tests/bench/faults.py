"""How far an audit finds what is wrong: every kind of fault, sown one setting at a time into good dumps.

python tests/bench/faults.py [MOST_A_CRAFT [SEED]]
"""

from __future__ import annotations

import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parents[2]))

from tests.faults.catalogue import KINDS
from tests.faults.harmless import falsely_found, harmless
from tests.faults.measure import CRAFTS, FREE, RULES, Tally, measured
from tests.faults.sheets import SHEETS
from tests.faults.texts import TEXTS


def main(most: int, seed: int) -> None:
    """Print what was found of each kind, what was missed, and what was said falsely."""
    found = measured(most, seed)
    print("sown  found  by the right rule  at its line  findings  kind")
    whole = Tally()
    for name, one in found.items():
        print(
            f"{one.sown:4} {one.found / max(1, one.sown):6.0%} {one.right / max(1, one.sown):14.1%}"
            f" {one.placed / max(1, one.sown):12.1%} {one.findings / max(1, one.sown):10.2f}  {name}"
        )
        whole.sown += one.sown
        whole.found += one.found
        whole.right += one.right
        whole.placed += one.placed
        whole.findings += one.findings
    found_, right, placed = (n / whole.sown for n in (whole.found, whole.right, whole.placed))
    print(f"{whole.sown} faults: {found_:.1%} found, {right:.1%} by the right rule, {placed:.1%} at its line")
    print(f"{whole.findings / whole.sown:.2f} findings a fault, consequences apart")
    for name, one in found.items():
        if name in FREE and one.placed < one.sown:
            print(f"  {name}: {FREE[name]}")
        for line in one.missed[:4]:
            print(f"  missed: {name}: {line}")
        for rule, times in one.others.most_common(2):
            if times > one.sown / 10:
                print(f"  beside {name}: {rule} in {times} of {one.sown}")
    known = [one for one in RULES if not any(one.id in kind for kind in _rules())]
    print("rules that no kind of fault is for:", ", ".join(one.id for one in known) or "none")
    for craft in CRAFTS:
        changes = list(harmless(craft))
        false = [(what, findings) for what, findings in falsely_found(craft, changes)]
        print(f"{craft.name}: {len(changes)} harmless changes, {len(false)} false findings", *false[:3])


def _rules() -> list[tuple[str, ...]]:
    return [one.rules for one in (*KINDS, *TEXTS, *SHEETS)]


if __name__ == "__main__":
    given = [*map(int, sys.argv[1:])]
    main(given[0] if given else 20, given[1] if len(given) > 1 else 1)

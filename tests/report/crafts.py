"""One craft's audits as the reports for other programs take them."""

from __future__ import annotations

from msgspec.structs import replace

from cfgaudit.dialect.in_place import Replacement
from cfgaudit.model.place import Place
from cfgaudit.report.paper import Audited, NotAudited
from tests.report.hostile import hostile
from tests.report.otter import AUDIT, CALM, CAPTURE, CLEAN, KNOWN, MUTE, PAPER, RULES, WRONG_PAD

FIXED = {WRONG_PAD.fingerprint: (Replacement(71, 1, 13, "out 3 pin C8"),)}
LOOSE = replace(PAPER, dump=replace(CAPTURE, file="after.txt", is_file=False))
MISSING = NotAudited(
    "heron", "there is no such file; check the name and the folder", Place("heron/known good.txt", 1, 1)
)

AUDITS: dict[str, tuple[Audited | NotAudited, ...]] = {
    "audit": (Audited("", PAPER, AUDIT, RULES, FIXED),),
    "accepted": (Audited("otter", PAPER, KNOWN, RULES),),
    "clean": (Audited("otter", PAPER, CLEAN, RULES),),
    "only accepted": (Audited("otter", PAPER, CALM, RULES),),
    "mute": (Audited("otter", PAPER, MUTE, RULES),),
    "loose": (Audited("otter", LOOSE, AUDIT, RULES),),
    "several": (Audited("otter", PAPER, KNOWN, RULES), MISSING, Audited("vole", PAPER, AUDIT, RULES)),
    "none": (NotAudited("vole", "-:1:1: standard input is closed; pipe a dump into it, or name a file"),),
}
HOSTILE = {f"hostile {name}": hostile(crafts) for name, crafts in AUDITS.items()}
EVERY = {**AUDITS, **HOSTILE}

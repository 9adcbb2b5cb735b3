"""Whether an update leads to what fits the build, and where a misfit comes from."""

from __future__ import annotations

from cfgaudit.audit.book import rules_by
from cfgaudit.compare.carry.carry import plan
from cfgaudit.compare.carry.checked import checked
from cfgaudit.compare.carry.fate import Carried, Moved
from cfgaudit.compare.preset.preset import Judge
from cfgaudit.dialect.read import pasted
from cfgaudit.dump.text import Text
from tests.audit.bench import sample, sheet

HERON = ("heron/factory-2.3.1.txt", "heron/known-good.txt", "heron/factory-3.0.txt")


def judge() -> Judge:
    build = sheet("heron")
    return Judge(build, tuple(rules_by(build.terms)), build.terms)


def test_a_default_that_moved_against_the_build_is_found_and_explained() -> None:
    made = plan(*map(sample, HERON))
    found = checked(made, made.planned, judge())
    (one,) = found.brought
    assert one.finding.rule == "mixer/props-differ"
    assert [(type(about), about.triple.named.label) for about in one.about] == [(Moved, "motors / turning")]


def test_the_mends_of_the_result_lead_to_a_clean_audit() -> None:
    made = plan(*map(sample, HERON))
    lines = checked(made, made.planned, judge()).remedy.lines.lines
    mended = pasted(made.planned, Text("mends", "\n".join(lines), "utf-8", mark=False))
    assert judge()(mended).findings == ()


def test_a_careless_update_is_traced_to_what_did_not_arrive() -> None:
    made = plan(*map(sample, HERON))
    found = checked(made, sample("heron/after-update.txt"), judge())
    told = {one.finding.rule: {about.triple.named.label for about in one.about} for one in found.brought}
    assert told["battery/current-scale"] == {"pack / shunt-scale"}
    assert "screen / used-alarm" in told["battery/capacity-alarm"]
    assert all(isinstance(about, Carried) for one in found.brought for about in one.about)

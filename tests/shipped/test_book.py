"""The book in `faults/`, whatever it holds: it is sound, its circuits agree with it, its plans add up."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest
import yaml

from benchlore.circuit import derive
from benchlore.circuit.interval import Interval
from benchlore.diagnosis.minutes import fix_minutes, parts_minutes, proof_minutes, risk_minutes
from benchlore.diagnosis.plan import nodes
from benchlore.rules.steps import walked
from benchlore.site.plans import plans
from benchlore.site.steps import of_fix
from tests.books import ROOT
from tests.diagnosis.plans import consistent, hot_without_a_reason, live_after_a_stop


def test_the_checks_have_nothing_to_say_but_of_what_no_family_uses(shipped_site):
    """By the command, which takes over what the build of the site has checked."""
    command = [sys.executable, "-m", "benchlore", "check", "--format", "json", "--root", str(ROOT)]
    found = json.loads(subprocess.run(command, cwd=ROOT, capture_output=True, check=False).stdout)
    assert found["files"] > 10
    assert [one for one in found["findings"] if not one["rule"].startswith("unused-")] == []


def test_any_reader_of_yaml_reads_the_records():
    """Those of editors and scripts are stricter: the question mark of `{means: So?}` must be quoted."""
    paths = sorted((ROOT / "faults").rglob("*.yaml"))
    assert paths
    for path in paths:
        assert yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


def test_there_is_something_to_test(shipped_book):
    assert shipped_book.families
    assert shipped_book.faults


def test_behind_every_fuse_that_can_blow_the_ohms_can_be_read(shipped_book):
    """A fuse seldom dies of itself; a new one over the short opens as well (common practice, no source)."""
    for family in shipped_book.families.values():
        for fuse in family.parts.values():
            if fuse.kind != "fuse" or "resettable" in fuse.package:
                continue
            behind = {
                net.id
                for net in family.nets.values()
                if any(fuse.id in path.part for path in net.path)
                or any(fuse.id in source.part for source in net.source)
            }
            read = {m.net for m in family.measurements.values() if m.unit == "ohm"}
            assert behind & read, f"{family.id}: nothing is read in ohms behind {fuse.id}"


def test_every_normal_range_contains_its_derived_range(shipped_book):
    for family in shipped_book.families.values():
        for measurement in family.measurements.values():
            derived = derive(shipped_book, family, measurement)
            if derived:
                normal = [o.range for o in measurement.outcomes.values() if o.normal and o.range]
                whole = Interval(min(r.low for r in normal), max(r.high for r in normal))
                assert whole.contains(derived.worst), f"{family.id}: {measurement.id}"


def test_every_fix_is_its_work_its_parts_and_its_proof(shipped_book):
    for fault in shipped_book.faults.values():
        parts, proof = parts_minutes(shipped_book, fault), proof_minutes(shipped_book, fault)
        assert proof > 0, f"{fault.id} is not proved"
        spent = fault.fix.minutes + parts + proof
        assert fix_minutes(shipped_book, fault) == pytest.approx(spent + risk_minutes(shipped_book, fault))


def test_every_plan_adds_up_and_heats_nothing_without_a_reason(shipped_book):
    for made in plans(shipped_book).values():
        assert made.plans, f"{made.family.id} has no plan"
        for symptom, found in made.plans.items():
            for node in nodes(found.tree):
                consistent(node)
            assert hot_without_a_reason(shipped_book, made.case, found.tree) == [], (
                f"{made.family.id}: {symptom}"
            )


def test_plans_reach_the_faults_whose_fix_costs_less_than_another_board(shipped_book):
    """By its own fix, or by another one's that renews the same part. Of one that costs more, the plan rightly
    ends with the exchange. One in twenty may hide."""
    most = shipped_book.shop.escalate.minutes
    reached: set[str] = set()
    for made in plans(shipped_book).values():
        fixes = {node.id for p in made.plans.values() for node in nodes(p.tree)} & set(made.case.faults)
        reached |= {made.case.faults[h] for h in made.case.ruled_out(fixes)}
    cheap = [f.id for f in shipped_book.faults.values() if fix_minutes(shipped_book, f) < most]
    missed = [id_ for id_ in cheap if id_ not in reached]
    assert len(missed) <= len(cheap) / 20, missed


def test_no_plan_powers_a_board_that_must_not_have_power(shipped_book):
    for made in plans(shipped_book).values():
        for symptom, found in made.plans.items():
            after = live_after_a_stop(shipped_book, made.family, found.tree)
            assert [step.id for step, live in after if live] == [], f"{made.family.id}: {symptom}"


def test_no_fix_unplugs_a_pack_that_is_out(shipped_book):
    """The step that takes every source out names it; its part is then fitted, or taken out of the shell."""
    twice, packs = [], 0
    for fault in shipped_book.faults.values():
        parts = shipped_book.families[fault.family].parts.values()
        names = tuple(f"Unplug {part.id} " for part in parts if part.kind == "pack")
        out = False
        for text in of_fix(shipped_book, fault):
            if out and names and text.startswith(names):
                twice.append(f"{fault.id}: {text}")
            if text.startswith(("Plug", "Fit")):
                out = False
            elif re.match(r"Unplug .*the pack\b", text):
                out = True
                packs += 1
    assert twice == []
    assert packs


def test_with_a_part_unplugged_a_fix_takes_the_measurement_that_is_meant_for_it(shipped_book):
    """Ohms of a rail with the module out say nothing of a short in the module that is plugged in next."""
    taken = 0
    for fault in shipped_book.faults.values():
        family = shipped_book.families[fault.family]
        places = {(m.at, m.mode, m.unplugged): m.id for m in family.measurements.values() if m.unplugged}
        for step, bench in walked(fault, family)[0]:
            for one in (family.measurements[name] for name in step.measure):
                for off in bench.off - set(one.unplugged):
                    meant = places.get((one.at, one.mode, (off,)))
                    assert meant is None, f"{fault.id}: {one.id} with {off} out, where {meant} is"
                    taken += 1
    assert taken > 10


def test_what_is_only_plugged_anew_answers_when_a_good_part_is_tried(shipped_book):
    """The good part goes into the same plug, and that is the mend (common practice, no source)."""
    tried = 0
    for fault in shipped_book.faults.values():
        if fault.fix.action != "reseat":
            continue
        measurements = shipped_book.families[fault.family].measurements
        plugged = {part for step in fault.fix.steps for part in step.plug}
        for reading in fault.test_points:
            if reading.measure.endswith("-try") and measurements[reading.measure].at in plugged:
                normal = {o.id for o in measurements[reading.measure].outcomes.values() if o.normal}
                assert not normal >= set(reading.expected_reading), (
                    f"{fault.id}: {reading.measure} reads normal"
                )
                tried += 1
    assert tried

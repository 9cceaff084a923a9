"""The numbers a maker buys by: bands in order, totals that add up, the same in every unit."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings

from loftline.errors import ProjectError
from loftline.plan import make_plan
from loftline.project import Project
from loftline.values import Band, Plan, TimeTable
from loftline.writers.json_document import json_document
from loftline.writers.json_schema import document_schema
from support_bags import bags, written

VALIDATOR = jsonschema.Draft202012Validator(document_schema())

WORDS = {"advice", "work", "model", "cutting"}
"""What is told in the maker's unit, or rounded up to what shops cut in it."""


def planned(document: dict[str, Any], units: str = "mm") -> Plan | None:
    project = _read(document, units)
    return None if project is None else make_plan(project, effort="quick")


def _read(document: dict[str, Any], units: str = "mm") -> Project | None:
    try:
        return written(document, units)
    except ProjectError:
        return None


def ordered(band: Band) -> bool:
    slack = 1e-9 * band.high
    return 0 <= band.low <= band.expected + slack <= band.high + 2 * slack


@given(bags())
@settings(max_examples=20, deadline=None)
def test_every_figure_of_thread_is_a_band_in_order(document: dict[str, Any]) -> None:
    plan = planned(document)
    for total in plan.report.threads if plan else ():
        assert ordered(total.one)
        assert ordered(total.batch)
    for seam in plan.report.seams if plan else ():
        assert ordered(seam.needle)
        assert ordered(seam.under)
        if seam.kind == "301":
            assert min(seam.needle.low, seam.under.low) >= seam.length * seam.passes


@given(bags())
@settings(max_examples=20, deadline=None)
def test_totals_are_the_sum_of_quilting_and_seams_times_bags_and_waste(
    document: dict[str, Any],
) -> None:
    plan = planned(document)
    if plan is None:
        return
    report = plan.report
    parts = [report.needle_thread, report.bobbin_thread]
    parts += [band for seam in report.seams for band in (seam.needle, seam.under)]
    for key in ("low", "expected", "high"):
        one = sum(getattr(total.one, key) for total in report.threads)
        assert one == pytest.approx(sum(getattr(part, key) for part in parts))
        batch = sum(getattr(total.batch, key) for total in report.threads)
        assert batch == pytest.approx(one * report.copies * (1 + report.waste))
    for total in report.threads:
        if total.to_buy is not None and total.metres is not None:
            assert total.to_buy * total.metres * 1000 >= total.batch.high - 1


@given(bags())
@settings(max_examples=20, deadline=None)
def test_the_document_is_valid_and_its_sentences_are_whole(document: dict[str, Any]) -> None:
    plan = planned(document)
    if plan is None:
        return
    VALIDATOR.validate(json.loads(json_document(plan, [{} for _ in plan.hoopings])))
    said = [sentence for step in plan.report.work for sentence in step.sentences]
    for sentence in (*said, *plan.report.advice, plan.report.model):
        assert sentence[0].isupper()
        assert sentence.endswith(".")
        assert "  " not in sentence


@given(bags())
@settings(max_examples=20, deadline=None)
def test_no_bobbin_runs_out_before_it_is_changed(document: dict[str, Any]) -> None:
    plan = planned(document)
    if plan is None or plan.report.bobbins is None:
        return
    report, bobbins = plan.report, plan.report.bobbins
    assert report.bobbins is not None
    # all thread below is spread over the changes; the last bobbin keeps what is left
    used = report.bobbin_thread.high * report.copies
    filled = (len(bobbins.changes) + 1) * bobbins.metres * 1000
    assert used <= filled + 1e-3
    assert 0 <= bobbins.left <= bobbins.metres * 1000
    starts = [(change.bag, change.run, change.point or 0) for change in bobbins.changes]
    assert starts == sorted(set(starts))
    for change in bobbins.changes:
        assert 1 <= change.bag <= report.copies
        if change.point is not None:
            assert plan.sewn.run[change.point] == np.unique(plan.sewn.run)[change.run]


@given(bags())
@settings(max_examples=20, deadline=None)
def test_the_same_bag_in_inches_gives_the_same_numbers(document: dict[str, Any]) -> None:
    # every length is a whole number of 64ths of an inch, so that no unit has to round it
    one, other = planned(document), planned(document, "in")
    if one is None or other is None:
        assert one is other
        return
    assert one.project.units != other.project.units
    assert _numbers(one) == _numbers(other)


def _numbers(plan: Plan) -> dict[str, Any]:
    document = json.loads(json_document(plan, [{} for _ in plan.hoopings]))
    report = {key: value for key, value in document["report"].items() if key not in WORDS}
    return {**document, "report": report, "findings": [f["code"] for f in document["findings"]]}


@given(bags())
@settings(max_examples=20, deadline=None)
def test_the_minutes_are_the_sum_of_what_they_go_into(document: dict[str, Any]) -> None:
    plan = planned(document)
    if plan is None:
        return
    tables: tuple[TimeTable, ...] = plan.report.times
    assert {table.guided for table in tables} == {"machine", "hand"}
    own = tables[0]
    assert own.guided == plan.project.machine.guided
    assert all(minutes > 0 for minutes in own.parts.values())
    spent = own.parts.get("seams", 0.0) + own.parts.get("pressing", 0.0)
    assert plan.report.minutes == pytest.approx(own.total - spent)
    group = plan.project.school_class
    if group is not None:
        rounds = -(-group.students // group.machines)
        assert plan.report.class_minutes == pytest.approx(rounds * own.total)

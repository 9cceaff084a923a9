"""Export: every file read back and checked before any of them is put in place."""

from __future__ import annotations

import errno
import json
import os
import re
import tomllib
from dataclasses import replace
from functools import cache
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

from loftline import export as face_export
from loftline.errors import Cancelled, ExportError, Finding, FormatLimit
from loftline.export import export, usual_formats
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.readers import READERS, read_stitch_file
from loftline.values import Plan
from loftline.writers import write_files

MODULE = import_module("loftline.export")  # the face gives the function of that name

POUCH = """
format = 1
name = "Lötkolben Täschchen"
[panel]
shape = "rectangle"
width = 90
height = 60
[[hardware]]
name = "snap"
kind = "magnetic snap"
diameter = 14
sits = "above"
fitted = "before quilting"
at = [45, 30]
[[fills]]
pattern = "channel"
angle = 45
spacing = 9
[machine]
formats = ["dst", "exp"]
"""
ALL = ("dst", "exp", "pes", "jef", "vp3", "u01", "xxx", "gcode", "svg", "csv", "json")
STEM = "lotkolben-taschchen"


@cache
def pouch(text: str = POUCH) -> Plan:
    return make_plan(parse_project(tomllib.loads(text)))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_the_public_name_is_this_function() -> None:
    assert face_export is export


def test_all_files_are_written_and_hold_the_plan(tmp_path: Path) -> None:
    plan = pouch(POUCH.replace('"above"', '"inside"'))
    done = export(plan, tmp_path / "out", ALL)
    assert done.findings == ()
    assert done.clean
    assert [path.name for path in done.paths] == [f"{plan.project.slug}.{ext}" for ext in ALL]
    assert sorted(contents(tmp_path / "out")) == sorted(path.name for path in done.paths)
    for path in done.paths:
        ext = path.suffix[1:]
        if ext in READERS:
            read = read_stitch_file(ext, path.read_bytes())
            assert np.array_equal(read.x + plan.sewn.origin[0], plan.sewn.x)
            assert np.array_equal(read.y + plan.sewn.origin[1], plan.sewn.y)
            assert np.array_equal(read.run, plan.sewn.run)


def test_names_are_plain_ascii(tmp_path: Path) -> None:
    (path,) = export(pouch(), tmp_path, ("dst",)).paths
    assert path.name.isascii()
    assert path.read_bytes()[:20] == b"LA:Lotkolben Taschc\r"


def test_without_formats_the_project_says_which(tmp_path: Path) -> None:
    done = export(pouch(), tmp_path)
    assert [path.suffix for path in done.paths] == [".dst", ".exp", ".svg", ".csv", ".json"]


def test_the_same_bytes_come_out_twice(tmp_path: Path) -> None:
    export(pouch(), tmp_path / "a", ALL)
    export(pouch(), tmp_path / "b", ALL)
    assert contents(tmp_path / "a") == contents(tmp_path / "b")


def test_a_plan_that_says_stop_is_not_written(tmp_path: Path) -> None:
    stop = Finding(code="x", severity="error", where="here", message="no")
    done = export(replace(pouch(), findings=(stop,)), tmp_path / "out", ALL)
    assert done.paths == ()
    assert done.findings == (stop,)
    assert not (tmp_path / "out").exists()


def test_a_format_that_cannot_hold_the_plan_is_left_out(tmp_path: Path) -> None:
    large = POUCH.replace("width = 90", "width = 240").replace("spacing = 9", "spacing = 60")
    done = export(pouch(large), tmp_path, ("dst", "jef", "json"))
    (finding,) = done.findings
    assert (finding.code, finding.severity) == ("format-skipped", "warning")
    assert "200 by 200 mm" in finding.message
    assert done.clean
    assert [path.suffix for path in done.paths] == [".dst", ".json"]
    document = json.loads((tmp_path / f"{pouch(large).project.slug}.json").read_bytes())
    assert list(document["hoopings"][0]["files"]) == ["dst"]


def test_vp3_is_left_out_when_a_move_must_go_round(tmp_path: Path) -> None:
    plan = pouch()
    far = np.array([[plan.sewn.x[0], plan.sewn.y[0]]], np.int64)
    sewn = replace(plan.sewn, via=far + 20, via_run=np.zeros(1, np.int64))
    done = export(replace(plan, sewn=sewn), tmp_path, ("vp3", "dst"))
    assert [path.suffix for path in done.paths] == [".dst"]
    assert "moves straight" in done.findings[0].message


def test_nothing_is_made_when_no_format_is_left(tmp_path: Path) -> None:
    large = POUCH.replace("width = 90", "width = 240").replace("spacing = 9", "spacing = 60")
    done = export(pouch(large), tmp_path / "out", ("jef",))
    assert done.paths == ()
    assert len(done.findings) == 1
    assert not (tmp_path / "out").exists()


def test_a_limit_found_only_while_writing_is_a_skip_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def writes(plan: Plan, formats: tuple[str, ...]) -> dict[str, bytes]:
        if "pes" in formats:
            raise FormatLimit("pes", "of the weather")
        return write_files(plan, formats)

    monkeypatch.setattr(MODULE, "write_files", writes)
    done = export(pouch(), tmp_path, ("pes", "dst"))
    assert [path.suffix for path in done.paths] == [".dst"]
    assert done.findings[0].message == "no pes file was written: of the weather"


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        # one record turned round: b1 bits of x swapped
        (lambda data: data[:-9] + b"\x05\x00\x03" + data[-6:], "from its place"),
        (lambda data: data[:-6] + data[-3:], "needle points were planned"),
        (lambda data: data[:-3], "cannot be read back"),
        (lambda data: data[:100], "cannot be read back"),
    ],
)
def test_a_file_that_differs_stops_the_export(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoil: object, words: str
) -> None:
    def writes(plan: Plan, formats: tuple[str, ...]) -> dict[str, bytes]:
        assert callable(spoil)
        files = write_files(plan, formats)
        return {n: spoil(d) if n.endswith(".dst") else d for n, d in files.items()}

    (tmp_path / "mine.txt").write_bytes(b"mine")
    monkeypatch.setattr(MODULE, "write_files", writes)
    done = export(pouch(), tmp_path, ("exp", "dst", "svg"))
    assert done.paths == ()
    assert not done.clean
    assert {finding.code for finding in done.findings} >= {"file-differs"}
    assert words in done.findings[0].message
    assert contents(tmp_path) == {"mine.txt": b"mine"}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"\r\n7,", b"\r\n8,", "cannot be read back: line 8"),
        (b",tie\r\n", b",line\r\n", "needle point 1 .*for something else"),
        (b"\r\n3,", b"\r\n3,9", "from its place"),
        (b",kind\r\n", b",kind\n", "cannot be read back"),
    ],
)
def test_a_table_that_differs_stops_the_export(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, old: bytes, new: bytes, words: str
) -> None:
    def writes(plan: Plan, formats: tuple[str, ...]) -> dict[str, bytes]:
        files = write_files(plan, formats)
        return {n: d.replace(old, new, 1) if n.endswith(".csv") else d for n, d in files.items()}

    monkeypatch.setattr(MODULE, "write_files", writes)
    done = export(pouch(), tmp_path, ("dst", "csv"))
    (finding,) = done.findings
    assert done.paths == ()
    assert finding.code == "file-differs"
    assert re.search(words, f"{finding.where} {finding.message}")


def test_the_checks_look_at_the_bytes_again(tmp_path: Path) -> None:
    # A plan whose own checks were left out: the needle goes through the snap.
    plan = pouch()
    through = replace(plan.sewn, x=plan.sewn.x.copy(), y=plan.sewn.y.copy())
    through.x[5], through.y[5] = 450, 300
    done = export(replace(plan, sewn=through, findings=()), tmp_path / "out", ("pes", "svg"))
    assert done.paths == ()
    assert "keep-out-entered" in {finding.code for finding in done.findings}
    assert not (tmp_path / "out").exists()


def test_a_hoop_too_small_is_found_in_the_bytes(tmp_path: Path) -> None:
    plan = pouch()
    small = tuple(replace(hooping, field=(50.0, 50.0)) for hooping in plan.hoopings)
    done = export(replace(plan, hoopings=small), tmp_path, ("dst",))
    assert [finding.code for finding in done.findings] == ["field-exceeded"]
    assert contents(tmp_path) == {}


@pytest.mark.parametrize("number", range(1, 4))
def test_older_files_stand_when_a_rename_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    export(pouch(POUCH.replace("spacing = 9", "spacing = 12")), tmp_path, ("dst", "exp", "svg"))
    before = contents(tmp_path)
    calls = 0
    real = os.replace

    def fails(old: Path, new: Path) -> None:
        nonlocal calls
        calls += 1
        if calls == number:
            raise OSError(errno.EIO, "Input/output error")
        real(old, new)

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(ExportError, match="could not be replaced"):
        export(pouch(), tmp_path, ("dst", "exp", "svg"))
    assert contents(tmp_path) == before


@pytest.mark.parametrize("name", ["writers", "checks", "export"])
def test_cancelling_leaves_the_folder_as_it_was(tmp_path: Path, name: str) -> None:
    def step(stage: str, _done: int, _total: int) -> None:
        if stage == name:
            raise Cancelled("enough")

    with pytest.raises(Cancelled):
        export(pouch(), tmp_path / "out", ("dst", "svg"), step)
    assert not (tmp_path / "out").exists()


def test_an_unknown_format_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="abc"):
        export(pouch(), tmp_path / "out", ("abc",))
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("guided", ["machine", "hand"])
def test_who_guides_the_panel_by_hand_gets_full_size_sheets_unasked(guided: str) -> None:
    machine = {"guided": guided, "formats": ["dst"]}
    told = parse_project(tomllib.loads(POUCH) | {"machine": machine})
    assert ("pdf" in usual_formats(told)) == (guided == "hand")

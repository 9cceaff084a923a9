"""A quilting design that is added as DEVELOPERS.md says: a module and a row, nothing else."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any, get_type_hints

import pytest

import loftline
from loftline.errors import Step
from loftline.fills.fill_lines import FillLines
from loftline.fills.patterns import PATTERNS as MAKERS
from loftline.patterns import PATTERNS
from loftline.project import FillSpec
from loftline.values import Field, Quality

SOURCE = Path(loftline.__file__).parent
MODULE = '''"""Ladder rungs: short level lines up the middle of the part."""

import math

import numpy as np
import shapely

from loftline.fills.fill_lines import FillLines


def ladder_rungs(field, spec, seed, quality, step):
    x, low = field.centre[0], field.outline.bounds[1]
    heights = [low + number * spec.spacing for number in range(1, 5)]
    rungs = [shapely.LineString([(x - 20, y), (x + 20, y)]) for y in heights]
    curves = [shapely.get_coordinates(rung) for rung in rungs if field.region.covers(rung)]
    return FillLines.of([curves], [0.0])
'''
ROW = '        "ladder rungs": Pattern(("start_at",)),\n'
LAST_ROW = '        "motif": Pattern('
BAG: dict[str, Any] = {
    "format": 1,
    "name": "Spoke pouch",
    "panel": {"shape": "folded pouch", "width": 160, "body": 110, "flap": 80},
    "fills": [{"part": "back", "pattern": "ladder rungs", "spacing": 15}],
}
ASK = """
import json, sys
from loftline.cli.words import PATTERNS
from loftline.errors import ProjectError
from loftline.plan import make_plan
from loftline.project import json_schema, parse_project
from loftline.web.changing import choices

bag = json.load(sys.stdin)
def lines(**keys):
    bag["fills"][0].update(keys)
    return make_plan(parse_project(bag)).lines
try:
    told = ""
    parse_project({**bag, "fills": [{**bag["fills"][0], "joined": True}]})
except ProjectError as error:
    told = str(error)
flat = lines()
print(json.dumps({
    "heights": sorted(flat.points[flat.starts[:-1], 1].tolist()),
    "matched": len(lines(match="closed")),
    "words": PATTERNS,
    "offered": list(choices()["patterns"]),
    "schema": json_schema()["$defs"]["FillSpec"]["properties"]["pattern"]["enum"],
    "told": told,
}))
"""


def answer(*, root: Path) -> subprocess.CompletedProcess[str]:
    first = f"import sys; sys.path.insert(0, {str(root / 'src')!r})"
    return subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-I", "-c", f"{first}\n{ASK}"],
        input=json.dumps(BAG),
        capture_output=True,
        text=True,
        check=False,
    )


def copied(folder: Path) -> Path:
    """The source, its files and folders as links but for the table that is added to."""
    root = folder / "src" / "loftline"
    fills = root / "fills"
    fills.mkdir(parents=True)
    motifs = SOURCE.parent.parent / "motifs"
    if motifs.exists():  # an editable install
        (folder / "motifs").symlink_to(motifs)
    for path in SOURCE.iterdir():
        if path.name not in {"fills", "patterns.py", "__pycache__"}:
            (root / path.name).symlink_to(path)
    for path in (SOURCE / "fills").iterdir():
        (fills / path.name).symlink_to(path)
    (root / "patterns.py").write_text((SOURCE / "patterns.py").read_text("utf-8"), "utf-8")
    return root


@pytest.fixture(scope="module")
def added(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What a program answers to which a design was added."""
    folder = tmp_path_factory.mktemp("added")
    root = copied(folder)
    (root / "fills" / "ladder_rungs.py").write_text(MODULE, "utf-8")
    table = (root / "patterns.py").read_text("utf-8")
    assert table.count(LAST_ROW) == 1
    (root / "patterns.py").write_text(table.replace(LAST_ROW, ROW + LAST_ROW), "utf-8")
    done = answer(root=folder)
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_its_lines_are_planned(added: dict[str, Any]) -> None:
    assert added["heights"] == [125, 140, 155, 170]


def test_it_can_be_matched(added: dict[str, Any]) -> None:
    assert added["matched"] == 4


def test_commands_page_and_schema_know_its_word(added: dict[str, Any]) -> None:
    every = [*PATTERNS]
    every.insert(every.index("motif"), "ladder rungs")
    assert added["schema"] == every
    assert added["offered"] == every
    assert added["words"] == [word for word in every if word != "motif"]


def test_keys_that_are_not_its_own_are_refused(added: dict[str, Any]) -> None:
    assert 'does not belong to the pattern "ladder rungs"' in added["told"]


def test_without_its_row_it_is_unknown(tmp_path: Path) -> None:
    (copied(tmp_path) / "fills" / "ladder_rungs.py").write_text(MODULE, "utf-8")
    done = answer(root=tmp_path)
    assert done.returncode == 1
    assert 'found "ladder rungs"' in done.stderr


@pytest.mark.parametrize("word", PATTERNS)
def test_every_maker_has_the_signature_of_a_fill(word: str) -> None:
    """Makers are found by name, so no type checker sees them."""
    hints = get_type_hints(MAKERS[word])
    assert [*hints.values()] == [Field, FillSpec, int, Quality, Step, FillLines]

"""The types of the page's modules, as their comments say them, for TypeScript to check."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

SETTINGS = Path(__file__).with_name("tsconfig.json")
STATIC = Path(__file__).parents[2] / "src" / "loftline" / "web" / "static"


@pytest.fixture(scope="module")
def tsc() -> str:
    """TypeScript's checker: where ``LOFTLINE_TSC`` says, or on the path."""
    path = os.environ.get("LOFTLINE_TSC") or shutil.which("tsc")
    if path is None:
        pytest.skip(
            "THE PROGRAM tsc IS NOT HERE, so the types of the page's modules are not checked "
            "(npm package: typescript; its version stands in .ci/run)"
        )
    return path


def told(tsc: str, settings: Path) -> list[str]:
    """What the checker says, line by line: faults, then the files it looked at."""
    done = subprocess.run(  # noqa: S603 - the checker alone
        [tsc, "--project", str(settings), "--pretty", "false", "--listFiles"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert bool(done.returncode) == ("error TS" in done.stdout)
    return done.stdout.splitlines() + done.stderr.splitlines()


@pytest.fixture(scope="module")
def page(tsc: str) -> list[str]:
    return told(tsc, SETTINGS)


def test_the_types_of_the_pages_modules_fit(page: list[str]) -> None:
    assert [line for line in page if "error TS" in line] == []


def test_every_module_of_the_page_is_checked(page: list[str]) -> None:
    assert {module.name for module in STATIC.glob("*.js")} <= {Path(line).name for line in page}


def test_a_type_that_does_not_fit_is_found(tsc: str, tmp_path: Path) -> None:
    for module in STATIC.glob("*.js"):
        shutil.copy(module, tmp_path)
    with (tmp_path / "lengths.js").open("a", encoding="utf-8") as file:
        file.write('export const wrong = lengthWords("12", "mm");\n')
    text = SETTINGS.read_text(encoding="utf-8")
    settings = tmp_path / "tsconfig.json"
    settings.write_text(text.replace("../../src/loftline/web/static/", ""), encoding="utf-8")
    found = [line for line in told(tsc, settings) if "error TS" in line]
    assert [Path(line.partition("(")[0]).name for line in found] == ["lengths.js"]

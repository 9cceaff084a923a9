"""The public face: names, laziness, types."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module, metadata, resources
from pathlib import Path
from types import FunctionType

import pytest

import loftline

HEAVY = ("highspy", "numpy", "pydantic", "rustworkx", "scipy", "shapely")


def loaded_after(code: str) -> set[str]:
    """Names of top-level modules that a fresh interpreter holds after ``code``."""
    script = (
        f"import sys\n{code}\nprint('modules:', *sorted({{m.split('.')[0] for m in sys.modules}}))"
    )
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    return set(done.stdout.rpartition("modules:")[2].split())


def test_all_is_sorted_and_has_no_doubles() -> None:
    assert loftline.__all__ == sorted(set(loftline.__all__))


@pytest.mark.parametrize("name", loftline.__all__)
def test_every_public_name_is_there(name: str) -> None:
    assert getattr(loftline, name) is not None
    assert name in dir(loftline)


@pytest.mark.parametrize("name", [name for name in loftline.__all__ if name != "__version__"])
def test_every_public_name_is_explained(name: str) -> None:
    assert (getattr(loftline, name).__doc__ or "").strip()


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'sew'"):
        loftline.sew  # type: ignore[attr-defined]  # noqa: B018 - asking is the test


def test_importing_loads_nothing_heavy() -> None:
    assert loaded_after("import loftline").isdisjoint({*HEAVY, "rich", "argparse"})


@pytest.mark.parametrize(
    "words", [["--help"], ["--version"], ["plan", "--help"], ["demo", "--help"], ["plna"], []]
)
def test_help_loads_nothing_heavy(words: list[str]) -> None:
    code = (
        "from loftline.cli import main\n"
        f"try:\n    main({words!r})\nexcept SystemExit as stop:\n    assert stop.code == 0"
    )
    assert loaded_after(code).isdisjoint({*HEAVY, "rich", "networkx", "pyembroidery"})


def test_the_laziness_test_can_fail() -> None:
    assert "numpy" in loaded_after("import loftline\nloftline.Plan")


@pytest.mark.parametrize(
    "first", ["loftline.export", "loftline.plan", "loftline.project", "loftline.cli"]
)
def test_export_stays_the_function_whatever_is_imported_first(first: str) -> None:
    import_module(first)
    assert isinstance(loftline.export, FunctionType)
    assert isinstance(loftline.make_plan, FunctionType)


def test_types_and_data_are_shipped() -> None:
    shipped = resources.files("loftline")
    assert shipped.joinpath("py.typed").is_file()
    assert shipped.joinpath("demo.toml").is_file()


def test_the_version_is_the_distribution_s() -> None:
    assert metadata.version("loftline") == loftline.__version__


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("bag.dxf", b"AC1032"),
        ("bag.svg", b"<!DOCTYPE svg [<!ENTITY a 'b'>]><svg>&a;</svg>"),
        ("bag.svg", b"<html/>"),
    ],
)
def test_a_drawing_refused_by_its_bytes_loads_no_library_to_read_it(
    tmp_path: Path, name: str, data: bytes
) -> None:
    (tmp_path / name).write_bytes(data)
    panel = f'[panel]\nshape = "file"\nfile = "{name}"\n[[fills]]\npattern = "grid"\n'
    (tmp_path / "bag.toml").write_text(panel)
    words = ["check", str(tmp_path / "bag.toml")]
    loaded = loaded_after(f"from loftline.cli import main\nassert main({words!r}) == 2")
    assert loaded.isdisjoint({"ezdxf", "svgelements", "scipy", "highspy"})

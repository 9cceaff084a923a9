"""From a file to a checked project; the only place that reads project files."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from types import MappingProxyType
from typing import Final, NoReturn

from pydantic import ValidationError

from loftline.errors import Fault, ProjectError
from loftline.project.drawn import MOST_DRAWING_BYTES, Refusal
from loftline.project.drawn_table import Files
from loftline.project.faults import in_file_order, slips_of
from loftline.project.limits import MOST_BYTES, MOST_FILLS
from loftline.project.motif_files import is_own_file
from loftline.project.schema import Project
from loftline.units import safe, show

_LONGEST_NAME: Final = 100

# TOML parsers take time quadratic in the number of dots of one key.
_DEEP_KEY: Final = re.compile(
    r"""(?<![A-Za-z0-9_-])(?:(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){20}"""
)
# Beginnings of the parser's messages, and what they mean to the one who wrote the file.
_ANY: Final = "this is not TOML"
_MEANINGS: Final = (
    ("Invalid value", "no value can be read here; words and lengths with a unit stand in quotes"),
    ("Expected '='", "a key is followed by = and a value"),
    ("Expected newline", 'something follows the value; inside quotes write "3/8 in" for inches'),
    ("Invalid statement", "a line is either key = value or [table]"),
    ("Invalid initial character for a key", "a key begins with a letter"),
    ("Cannot declare", "this table was there before"),
    ("Cannot overwrite", "this key was there before"),
    ("Cannot mutate", "this key was there before"),
    ("Cannot redefine", "this key was there before"),
    ("Duplicate inline table key", "this key was there before"),
    ("Unclosed array", "a bracket [ is not closed, or a comma is missing"),
    ("Unclosed inline table", "a brace { is not closed, or a comma is missing"),
    ("Unterminated string", "a quote is not closed"),
    ('Expected "', "a quote is not closed"),
    ("Illegal character", "a quote is not closed, or the file holds a control character"),
    ("Unescaped", "inside quotes a backslash is written twice"),
    ("Expected ']'", "the bracket of [table] is not closed"),
)
_HEADER: Final = re.compile(
    r"\s*\[{1,2}\s*(hardware|keep_outs|fills|regions|seams|sizes|panel\.(?:darts|folds|parts)|cutting\.pockets)\s*\]"
)
_CURLY: Final = re.compile(r"[\u201c-\u201f\u2018\u2019]")
_COMMA: Final = re.compile(r"=\s*([0-9]{1,9}),([0-9]{1,9})\s*(?:#|$)")
_PLACE: Final = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


def read_project(path: str | os.PathLike[str]) -> Project:
    """Read and check a project file.

    Args:
        path: a TOML file of at most 2 MB; drawings it names lie beside it.

    Raises:
        ProjectError: with every fault of the file; nothing else.
    """
    _, data, files = read_tables(path)
    return _parse(data, files)


def read_tables(path: str | os.PathLike[str]) -> tuple[str, dict[str, object], Files]:
    """A project file as it stands: its text, its tables, the drawings it names.

    Args:
        path: as for :func:`read_project`; the tables and drawings fit :func:`parse_project`.

    Raises:
        ProjectError: where the file cannot be read as TOML.
    """
    text = _read_text(path)
    data = _load(text)
    return text, data, _drawings(data, Path(path).parent)


def parse_project(data: Mapping[str, object], *, files: Files = MappingProxyType({})) -> Project:
    """Check the tables of a project file; pure.

    Args:
        data: what a TOML parser returns; left as it is.
        files: drawings that ``panel.file`` and motifs name, as bytes by that name.

    Returns:
        The project, lengths in mm and angles in degrees.

    Raises:
        ProjectError: with every fault, in file order.

    >>> data = {"units": "in", "panel": {"shape": "ellipse", "width": 7.5, "height": "5 1/2 in"},
    ...         "fills": [{"pattern": "grid"}]}
    >>> parse_project(data).panel.height
    139.7
    """
    return _parse(data, files)


def _parse(data: Mapping[str, object], files: Files) -> Project:
    if not isinstance(data, Mapping):
        _refuse(f"found {show(data)}; a project should be a table")
    units = data.get("units", "mm")
    known = isinstance(units, str) and units in {"mm", "cm", "in"}
    context = {"units": units if known else "mm", "files": files}
    try:
        return Project.model_validate(data, context=context)
    except ValidationError as error:
        faults = in_file_order(slips_of(error), data)
    raise ProjectError(faults)


def _drawings(data: Mapping[str, object], folder: Path) -> Files:
    """The drawings that a project names, or why one cannot be read."""
    found: dict[str, bytes | Refusal] = {}
    for name in drawings_named(data):
        if not name or len(name) > _LONGEST_NAME or "\0" in name or name in found:
            continue
        try:
            plain = PurePosixPath(name.replace("\\", "/"))
            if plain.is_absolute() or PureWindowsPath(name).drive or ".." in plain.parts:
                _refuse("should lie beside the project file, or in a folder beside it")
            found[name] = _read_bytes(folder / plain, MOST_DRAWING_BYTES, "drawing")
        except ProjectError as error:
            found[name] = Refusal("file", error.faults[0].message)
    return found


def drawings_named(data: Mapping[str, object]) -> Iterator[str]:
    """Names of drawings in the tables of a project: the panel's, and of a maker's own motifs."""
    return (" ".join(name.split()) for name in _named(data))


def _named(data: Mapping[str, object]) -> Iterator[str]:
    panel, fills = data.get("panel"), data.get("fills")
    if isinstance(panel, Mapping) and panel.get("shape") == "file":
        name = panel.get("file")
        if isinstance(name, str):
            yield name
    for fill in fills[:MOST_FILLS] if isinstance(fills, list) else ():
        name = fill.get("motif") if isinstance(fill, Mapping) else None
        if isinstance(name, str) and is_own_file(name.strip()):
            yield name


def _read_text(path: str | os.PathLike[str]) -> str:
    name = show(os.fspath(path))
    data = _read_bytes(path, MOST_BYTES, "project file")
    if b"\0" in data:
        _refuse(f"{name} is no text file; a project file is text in TOML")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        _refuse(f"{name} is not UTF-8 text (line {line}); save it again as UTF-8")


def _read_bytes(path: str | os.PathLike[str], most: int, what: str) -> bytes:
    name = show(os.fspath(path))
    try:
        about = Path(path).stat()
        if stat.S_ISDIR(about.st_mode):
            _refuse(f"{name} is a folder; give the {what} in it")
        if not stat.S_ISREG(about.st_mode):
            _refuse(f"{name} is not a file that can be read")
        if about.st_size > most:
            _refuse(
                f"{name} has {about.st_size / 1e6:.1f} MB; a {what} has at most {most // 10**6} MB"
            )
        with Path(path).open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        _refuse(f"there is no file {name}")
    except PermissionError:
        _refuse(f"{name} may not be read: no permission")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "odd name"
        _refuse(f"{name} cannot be read: {reason}")
    if len(data) > most:
        _refuse(f"{name} is longer than {most // 10**6} MB")
    return data


def _load(text: str) -> dict[str, object]:
    deep = _DEEP_KEY.search(text)
    if deep is not None:
        line = text.count("\n", 0, deep.start()) + 1
        _refuse(f"line {line}: a key with too many dots; no key here has more than two")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _refuse(_syntax(str(error), text))
    except RecursionError:
        _refuse("brackets are nested too deeply; no list here is deeper than three")
    except ValueError:
        _refuse("holds a number with too many digits, or a date that does not exist")


def _syntax(message: str, text: str) -> str:
    """What the parser stumbled over, in plain words, with the line."""
    place = _PLACE.search(message)
    meaning = next((says for start, says in _MEANINGS if message.startswith(start)), _ANY)
    if place is not None and place[1] is not None:
        meaning = _meant(text.split("\n")[int(place[1]) - 1], meaning)
    if place is None or place[1] is None:
        return f"at the end of the file: {meaning}"
    number = int(place[1])
    line = text.split("\n")[number - 1].strip()
    return f"line {number}, column {place[2]}: {meaning}; the line is: {safe(line, 60)}"


def _meant(line: str, meaning: str) -> str:
    """What the line was meant to be, where that is plain.

    A second ``[fills]``: the list's entries stand in double brackets. Curly quotation marks:
    what a word processor makes of straight ones. A comma in a number.
    """
    header, comma = _HEADER.match(line), _COMMA.search(line)
    if header is not None:
        return f"{meaning}; each entry of this list has double brackets: write [[{header[1]}]]"
    if comma is not None:
        return f"a number has a point, not a comma: write {comma[1]}.{comma[2]}"
    if _CURLY.search(line):
        return "quotation marks must be straight ones, as a plain text editor writes them"
    return meaning


def _refuse(says: str) -> NoReturn:
    raise ProjectError([Fault(where="", message=says)]) from None

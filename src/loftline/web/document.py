"""The project file while it is open: what it holds now, what it held before, where it lies."""

from __future__ import annotations

import hashlib
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from loftline.errors import LoftlineError
from loftline.export.placing import place_all
from loftline.project import MOST_BYTES, Project, drawings_named, parse_project, read_tables
from loftline.project.drawn_table import Files
from loftline.web.drawings import name_beside, to_write
from loftline.web.edits import Tables, apply
from loftline.web.writing import written

MOST_STEPS: Final = 300
"""Steps of undo; they share all that they do not change."""


class ChangedMeanwhile(LoftlineError):  # noqa: N818 - a question to the maker
    """A file on the disk is not the one that was opened.

    Attributes:
        path: of the file; there may be none any more.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(path.name)


@dataclass(slots=True)
class Home:
    """Where a bag's file lies, and what was last known of it.

    Attributes:
        path: ``None`` before it has a place.
        saved: the tables that the file holds.
        digest: of the file's bytes; ``None`` where there is none.
    """

    path: Path | None = None
    saved: Tables | None = None
    digest: str | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """What the project held after a change.

    Attributes:
        data: its tables.
        text: the file whose comments and order they are written into.
        home: where that bag is saved: beginning another bag leaves the file of the one before.
        files: drawings that it names.
        says: what the change was, in words.
    """

    data: Tables
    text: str
    home: Home
    files: Files = field(default_factory=dict)
    says: str = ""


@dataclass(slots=True)
class Document:
    """A project file that is being changed.

    Attributes:
        folder: where a bag without a place is saved, under a name that follows its own.
        revision: grows with each change, undo and redo.
    """

    folder: Path
    revision: int = 0
    _steps: list[Moment] = field(default_factory=list)
    _at: int = 0
    _given: set[str] = field(default_factory=set)

    @classmethod
    def read(cls, path: Path) -> Document:
        """A file from the disk.

        Raises:
            ProjectError: with every fault of the file.
        """
        text, data, files = read_tables(path)
        parse_project(data, files=files)
        place = path.resolve()
        home = Home(place, data, _digest(place))
        return cls(folder=place.parent, _steps=[Moment(data, text, home, files)])

    @classmethod
    def fresh(cls, text: str, folder: Path) -> Document:
        """A project that has no file yet."""
        return cls(folder=folder, _steps=[Moment(tomllib.loads(text), text, Home())])

    @property
    def path(self) -> Path | None:
        """Where it is saved; ``None`` before it has a place."""
        return self._home.path

    @property
    def _home(self) -> Home:
        return self._steps[self._at].home

    @property
    def data(self) -> Tables:
        """What it holds now."""
        return self._steps[self._at].data

    @property
    def files(self) -> Files:
        """Drawings that it names now."""
        return self._steps[self._at].files

    @property
    def unsaved(self) -> bool:
        """Whether it holds what no file does."""
        return self.data is not self._home.saved and self.data != self._home.saved

    @property
    def undo_says(self) -> str | None:
        """What would be undone, ``None`` where there is nothing."""
        return self._steps[self._at].says if self._at else None

    @property
    def redo_says(self) -> str | None:
        """What would be done again, ``None`` where there is nothing."""
        return self._steps[self._at + 1].says if self._at + 1 < len(self._steps) else None

    def tried(self, edits: object, files: Files | None = None) -> tuple[Tables, Project]:
        """What it would hold after some changes, checked.

        Args:
            edits: as :func:`loftline.web.edits.apply` takes them.
            files: drawings, where they are others than those it has.

        Raises:
            BadEdit: where a change does not fit.
            ProjectError: where the project would have faults.
        """
        data = apply(self.data, edits)
        return data, parse_project(data, files=self.files if files is None else files)

    def take(self, data: Tables, says: str, files: Files | None = None) -> None:
        """Hold other tables from now on; what was undone before is forgotten."""
        now = self._steps[self._at]
        if data != now.data:
            files = now.files if files is None else files
            self._hold(replace(now, data=data, files=files, says=says))

    def begin(self, text: str, says: str, files: Files = MappingProxyType({})) -> None:
        """Hold another bag from now on, which has no file yet."""
        self._hold(Moment(tomllib.loads(text), text, Home(), files, says))

    def give(self, called: str, drawing: bytes, *, fresh: bool = False) -> str:
        """Take a drawing in, to be laid beside the project file when that is saved.

        Args:
            called: its name where it comes from.
            drawing: its bytes.
            fresh: whether it is for a bag that has no file yet.

        Returns:
            Its name in the project, which no other drawing has.

        Raises:
            ProjectError: where its ending is none of a drawing's.
        """
        path = None if fresh else self.path
        folder = self.folder if path is None else path.parent
        name = name_beside(called, drawing, folder, [step.files for step in self._steps])
        self._given.add(name)
        return name

    def _hold(self, moment: Moment) -> None:
        self._steps = [*self._steps[: self._at + 1], moment][-MOST_STEPS:]
        self._at = len(self._steps) - 1
        self.revision += 1

    def undo(self) -> None:
        """Go back one change."""
        if self._at:
            self._at -= 1
            self.revision += 1

    def redo(self) -> None:
        """Go forward one change again."""
        if self._at + 1 < len(self._steps):
            self._at += 1
            self.revision += 1

    def save(self, slug: str, *, over: bool = False) -> Path:
        """Write the file: all of it, or nothing.

        Args:
            slug: name of a file that has no place yet, without its ending.
            over: write even if the file on the disk was changed meanwhile.

        Raises:
            ChangedMeanwhile: when it was, and ``over`` is not set.
            ExportError: when it cannot be written.
        """
        home = self._home
        path = home.path if home.path is not None else (self.folder / f"{slug}.toml").resolve()
        if _digest(path) != home.digest and not over:
            raise ChangedMeanwhile(path)
        given = [name for name in drawings_named(self.data) if name in self._given]
        drawings = to_write(given, self.files, path.parent)
        if not over and (other := next((n for n in drawings if (path.parent / n).exists()), None)):
            raise ChangedMeanwhile(path.parent / other)
        text = written(self._steps[self._at].text, self.data)
        mode = path.stat().st_mode & 0o777 if path.exists() else None
        place_all(path.parent, {path.name: text.encode("utf-8"), **drawings})
        if mode is not None:
            path.chmod(mode)
        home.path, home.saved, home.digest = path, self.data, _digest(path)
        return path

    def as_files(self, slug: str) -> dict[str, bytes]:
        """What saving would write, by name: the project file and the drawings that it names."""
        drawings = {name: self.files.get(name) for name in drawings_named(self.data)}
        name = f"{slug}.toml" if self.path is None else self.path.name
        text = written(self._steps[self._at].text, self.data)
        kept = {name: data for name, data in drawings.items() if isinstance(data, bytes)}
        return {name: text.encode("utf-8"), **kept}

    def load_again(self, says: str) -> None:
        """Take what the file on the disk holds now, as a change that can be undone."""
        home = self._home
        path = home.path
        if path is None:
            return
        text, data, files = read_tables(path)
        parse_project(data, files=files)
        self._hold(Moment(data, text, home, files, says))
        home.saved, home.digest = data, _digest(path)


def _digest(path: Path) -> str | None:
    """What a file holds, as a digest; ``None`` where there is none that can be read."""
    try:
        with path.open("rb") as file:
            return hashlib.sha256(file.read(MOST_BYTES + 1)).hexdigest()
    except OSError:
        return None

"""What may be typed, read into options; sentences for what does not fit.

Loads argparse and nothing else, so that ``--help`` is quick.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from typing import Any, NoReturn

from loftline import __version__
from loftline.cli.command_table import ABOUT, COMMANDS, EXIT_CODES
from loftline.cli.typed import UsageError, nearest_word
from loftline.cli.words import SHAPES


class _Parser(argparse.ArgumentParser):
    """argparse with our own sentences."""

    def error(self, message: str) -> NoReturn:
        """Turn what argparse has to say into a sentence a maker can use."""
        value = re.match(r"argument (\S+): expected one argument", message)
        missing = re.match(r"the following arguments are required: (.*)", message)
        if value:
            sentence = f"{value[1]} needs a value."
        elif missing:
            names = missing[1].replace(", ", " and ")
            sentence = f"{names} is missing." if "," not in missing[1] else f"{names} are missing."
        else:
            sentence = message[:1].upper() + message[1:].rstrip(".") + "."
        raise UsageError(f"{sentence} Usage: {self.usage}")


def build_parser() -> argparse.ArgumentParser:
    """The parser of all commands; ``options.command`` holds the command's name."""
    parser = _Parser(
        prog="loftline",
        usage="loftline COMMAND ...",
        description=ABOUT,
        epilog="loftline COMMAND --help says more. Exit code: "
        + "; ".join(f"{code} {meaning}" for code, meaning in EXIT_CODES)
        + ".",
        allow_abbrev=False,
        add_help=False,
    )
    parser.add_argument(*("-h", "--help"), action="help", help="print this help and stop")
    parser.add_argument(
        "--version",
        action="version",
        version=f"loftline {__version__}",
        help="print the version and stop",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for command in COMMANDS:
        listing: dict[str, Any] = {"help": command.help} if command.listed else {}
        below = commands.add_parser(
            command.name,
            usage=command.usage,
            description=command.about,
            allow_abbrev=False,
            add_help=False,
            **listing,
        )
        below.add_argument(*("-h", "--help"), action="help", help="print this help and stop")
        needed = below.add_argument_group("arguments")
        for argument in command.arguments:
            place = below if argument.words[0].startswith("-") else needed
            place.add_argument(*argument.words, **argument.settings)
    return parser


def parse(words: Sequence[str]) -> argparse.Namespace:
    """Read what was typed.

    Args:
        words: the arguments, program name left out.

    Returns:
        ``command`` and that command's arguments.

    Raises:
        UsageError: with one sentence, when it does not fit.
        SystemExit: with code 0, after ``--help`` or ``--version``.
    """
    if not words:
        raise UsageError(
            "Say what to do, for example: loftline demo. loftline --help lists the commands."
        )
    names = [command.name for command in COMMANDS]
    first = words[0]
    if not first.startswith("-") and first not in names:
        raise UsageError(
            f"There is no command {first!r}{nearest_word(first, names)}. "
            "loftline --help lists the commands."
        )
    if first.startswith("-") and first.split("=")[0] not in {"-h", "--help", "--version"}:
        raise UsageError(
            f"There is no option {first!r} here: the command comes first. "
            "loftline --help lists the commands."
        )
    options, rest = build_parser().parse_known_args(words)
    if rest:
        shape = " ".join((str(getattr(options, "shape", "")), *rest))
        if shape in SHAPES:  # typed without quotation marks, so it came in pieces
            raise UsageError(
                "--shape: put quotation marks around a shape of several words, "
                f"as in --shape {shape!r}."
            )
        command = next(c for c in COMMANDS if c.name == options.command)
        flags = [w for a in command.arguments for w in a.words if w.startswith("-")] + ["--help"]
        kind = "option" if rest[0].startswith("-") else "room for"
        near = nearest_word(rest[0].split("=")[0], flags) if kind == "option" else ""
        raise UsageError(f"There is no {kind} {rest[0]!r} here{near}. Usage: {command.usage}")
    if options.command == "new" and not options.schema and options.file is None:
        raise UsageError("FILE is missing. Usage: loftline new FILE [--shape SHAPE]")
    if options.command == "new":
        options.shape = _shape(options.shape)
    return options


def _shape(word: str) -> str:
    """The shape that was typed, in small or large letters, with spaces or hyphens."""
    shape = " ".join(re.split(r"[-_\s]+", word.strip().lower()))
    if shape in SHAPES:
        return shape
    near = nearest_word(shape, SHAPES)
    inside = [known for known in SHAPES if shape and shape in known]
    if not near and len(inside) == 1:
        near = f" (did you mean {inside[0]}?)"
    raise UsageError(
        f"--shape: there is no shape {word!r}{near}; "
        f"there are {', '.join(SHAPES[:-1])} and {SHAPES[-1]}."
    )

"""What may be typed, and the sentences for what does not fit."""

from __future__ import annotations

from typing import get_args

import pytest

from loftline import project
from loftline.cli.command_table import COMMANDS
from loftline.cli.parser import build_parser, parse
from loftline.cli.typed import UsageError, read_formats, read_sheets
from loftline.cli.words import FORMATS, PAPERS, SHAPES, SHEETS
from loftline.project.panel_tables import PanelShape
from loftline.project.sheets_table import PAPERS as PROJECT_PAPERS, SHEETS as PROJECT_SHEETS


def test_plan_with_all_its_options() -> None:
    options = parse(["plan", "pouch.toml", "--out", "here", "--format", "dst,exp"])
    assert (options.command, options.file, options.out, options.format) == (
        "plan",
        "pouch.toml",
        "here",
        "dst,exp",
    )


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "Say what to do, for example: loftline demo. loftline --help lists the commands."),
        (["plna"], "There is no command 'plna' (did you mean plan?). loftline --help lists"),
        (["crochet"], "There is no command 'crochet'. loftline --help"),
        (["plan"], "FILE and --out are missing. Usage: loftline plan FILE --out DIR"),
        (["plan", "a.toml"], "--out is missing."),
        (["plan", "a.toml", "--out"], "--out needs a value."),
        (["plan", "a.toml", "--out", "b", "--formt", "dst"], "'--formt' here (did you mean --f"),
        (["check"], "FILE is missing. Usage: loftline check FILE"),
        (["check", "a.toml", "b.toml"], "There is no room for 'b.toml' here."),
        (["check", "a.toml", "--out", "b"], "There is no option '--out' here."),
        (["new"], "FILE is missing. Usage: loftline new FILE [--shape SHAPE]"),
        (
            ["new", "a.toml", "--shape", "elipse"],
            "no shape 'elipse' (did you mean ellipse?); there",
        ),
        (
            ["new", "a.toml", "--shape", "boxed tote"],
            "no shape 'boxed tote' (did you mean boxed tote side?); there are folded pouch, flat",
        ),
        (["new", "a.toml", "--shape", "zip"], "no shape 'zip' (did you mean zip pouch side?); t"),
        (["new", "a.toml", "--shape", "pouch"], "no shape 'pouch'; there are folded pouch, flat"),
        (["new", "a.toml", "--shape", ""], "no shape ''; there are folded pouch, flat"),
        (
            ["new", "a.toml", "--shape", "boxed", "tote", "side"],
            "put quotation marks around a shape of several words, as in --shape 'boxed tote side'.",
        ),
        (["demo", "a.toml"], "There is no room for 'a.toml' here. Usage: loftline demo"),
        (["--quiet"], "There is no option '--quiet' here"),
        (["--out", "plan"], "There is no option '--out' here"),
    ],
)
def test_what_does_not_fit_is_said_in_a_sentence(words: list[str], sentence: str) -> None:
    with pytest.raises(UsageError) as told:
        parse(words)
    assert sentence in str(told.value)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize("word", ["boxed tote side", "Boxed-Tote-Side", " boxed_tote  side"])
def test_a_shape_is_known_with_hyphens_too(word: str) -> None:
    assert parse(["new", "a.toml", "--shape", word]).shape == "boxed tote side"


def test_options_are_not_guessed_from_their_beginnings() -> None:
    with pytest.raises(UsageError):
        parse(["plan", "a.toml", "--ou", "b"])


@pytest.mark.parametrize("words", [["--help"], ["--version"], ["plan", "--help"]])
def test_help_and_version_stop_with_zero(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stop:
        parse(words)
    assert stop.value.code == 0
    assert capsys.readouterr().out


def test_help_lists_the_commands_that_are_there() -> None:
    text = build_parser().format_help()
    for command in COMMANDS:
        assert (f"  {command.name} " in text) == command.listed


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("dxt", "there is no format 'dxt' (did you mean dst?); there are dst, exp"),
        ("", "--format needs at least one of dst"),
        (" , ", "--format needs at least one of dst"),
    ],
)
def test_formats_that_do_not_fit(text: str, sentence: str) -> None:
    with pytest.raises(UsageError) as told:
        read_formats(text)
    assert sentence in str(told.value)


def test_the_words_of_the_project_file_are_repeated_rightly() -> None:
    """The parser loads nothing heavy, so it has copies of its own."""
    assert project.FORMATS == FORMATS
    assert project.TEMPLATE_SHAPES == SHAPES
    assert set(get_args(PanelShape)) == set(SHAPES)


def test_all_formats_are_read_in_the_order_typed() -> None:
    assert read_formats(",".join(reversed(FORMATS))) == tuple(reversed(FORMATS))


def test_sheets_and_paper_are_read_in_any_letters() -> None:
    assert read_sheets("Letter", "Panel, guide lines") == {
        "paper": "letter",
        "include": ("panel", "guide lines"),
    }


def test_nothing_typed_of_the_sheets_changes_nothing() -> None:
    assert read_sheets(None, None) == {}


@pytest.mark.parametrize(
    ("paper", "sheets", "sentence"),
    [
        ("a5", None, "--paper: there is no 'a5'; there are a4, letter"),
        ("a4,letter", None, "--paper takes one of a4, letter, one sheet"),
        (None, "panels", "--sheets: there is no 'panels' (did you mean panel?)"),
        (None, ",", "--sheets needs at least one value"),
    ],
)
def test_sheets_that_do_not_fit(paper: str | None, sheets: str | None, sentence: str) -> None:
    with pytest.raises(UsageError) as told:
        read_sheets(paper, sheets)
    assert sentence in str(told.value)


def test_the_words_typed_are_those_of_the_project_file() -> None:
    assert (PAPERS, SHEETS) == (PROJECT_PAPERS, PROJECT_SHEETS)

import json
import re
import subprocess
import sys
from collections.abc import Callable
from io import BytesIO, TextIOWrapper
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from estimator.cli.terminal import counted

Estimator = Callable[..., CompletedProcess[str]]


def retitle(order: Path, title: str) -> None:
    file = order / "order.toml"
    text = file.read_text(encoding="utf-8")
    old = 'title = "Two benches for the orchard at Linden Court"'
    assert old in text
    file.write_text(text.replace(old, f'title = "{title}"'), encoding="utf-8")


def test_every_command_answers_within_80_columns(estimator: Estimator, command: str, example: str) -> None:
    run = estimator(command, example)
    assert run.returncode == 0, run.stderr
    lines = run.stdout.splitlines()
    assert lines[0].strip()
    assert [line for line in lines if len(line) > 80] == []


def test_a_long_title_wraps(
    estimator: Estimator, command: str, bench_order: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    retitle(bench_order, "Two benches " + "and two more " * 8)
    monkeypatch.chdir(bench_order.parents[1])  # so that the paths in the answer are no longer than for a user
    run = estimator(command, "examples/orchard_bench")
    assert run.returncode == 0, run.stderr
    assert [line for line in run.stdout.splitlines() if len(line) > 80] == []


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_a_terminal_that_lacks_a_sign_shows_the_rest(
    estimator: Estimator, command: str, bench_order: Path, monkeypatch: pytest.MonkeyPatch, encoding: str
) -> None:
    retitle(bench_order, "Ławki, 1½ m, 60″")  # Ł and ″ are in neither encoding, ½ in one
    terminal = TextIOWrapper(BytesIO(), encoding=encoding)
    monkeypatch.setattr(sys, "stdout", terminal)
    assert estimator(command, bench_order).returncode == 0
    terminal.flush()
    shown = terminal.buffer
    assert isinstance(shown, BytesIO)
    text = shown.getvalue().decode(encoding)
    assert text
    if command in {"check", "takeoff", "buy", "quote", "compare"}:
        assert text.startswith("?awki, 1½ m, 60?" if encoding == "cp1252" else "?awki, 1? m, 60?")


def test_a_process_with_an_ascii_output_works_too(estimator: Estimator) -> None:
    whole = estimator("quote", "examples/orchard_bench").stdout
    assert "€" in whole
    run = subprocess.run(
        [sys.executable, "-m", "estimator", "quote", "examples/orchard_bench"],
        env={"PYTHONIOENCODING": "ascii"},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout.decode("ascii").splitlines() == whole.replace("€", "?").splitlines()


def test_nothing_is_coloured_where_the_environment_asks_for_colour(
    estimator: Estimator, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for variable in ("FORCE_COLOR", "CLICOLOR_FORCE", "PY_COLORS", "GITHUB_ACTIONS"):
        monkeypatch.setenv(variable, "1")
    run = estimator(command, "examples/orchard_bench")
    assert run.returncode == 0, run.stderr
    assert "\x1b" not in run.stdout + estimator(command, "--help").stdout


def test_names_in_square_brackets_are_shown_as_written(estimator: Estimator, bench_order: Path) -> None:
    build = bench_order / "garden_bench" / "build.toml"
    text = build.read_text(encoding="utf-8")
    build.write_text(text.replace('name = "Garden bench"', 'name = "Bench [60 in] [red]"'), encoding="utf-8")
    assert "Bench [60 in] [red]" in estimator("quote", bench_order).stdout


def test_finish_answers_in_its_first_line(estimator: Estimator, example: str) -> None:
    first, second, third = estimator("finish", example).stdout.splitlines()[:3]
    assert first.startswith("Buy 1 can of ")
    assert second.startswith("The job takes ")
    assert re.fullmatch(r"\S+ \S+ is enough, with [0-9]+ % to spare.", third)


def test_finish_says_where_each_rate_and_each_loss_comes_from(estimator: Estimator, example: str) -> None:
    said = " ".join(estimator("finish", example).stdout.split())
    (finish,) = json.loads(estimator("finish", example, "--json").stdout)["finishes"]
    for coat in finish["coats"]:
        assert f"{coat['rate_source']} ({coat['rate_from']})." in said
        assert f"Loss {coat['loss_percent']} % by {coat['method']}: {coat['loss_source']}." in said
    assert all(sentence in said for sentence in finish["choice"]["sentences"])


def test_finish_of_bare_wood_says_that_there_is_nothing_to_buy(estimator: Estimator, bench_order: Path) -> None:
    steps = bench_order / "garden_bench" / "finish.csv"
    steps.write_text(steps.read_text(encoding="utf-8").splitlines()[0] + "\n", encoding="utf-8")
    assert estimator("finish", bench_order).stdout.startswith("No finish is listed for this order")


def test_notices_stand_on_standard_error_only(estimator: Estimator, command: str) -> None:
    # The bench's oil is older than its shop lets a price be. Take-off alone asks for no price.
    run = estimator(command, "examples/orchard_bench")
    assert run.returncode == 0
    assert "note: " not in run.stdout
    if command != "takeoff":
        assert "note: price_tables/metric_eur/finishes.csv:3: " in run.stderr


def test_a_reader_that_stops_early_gets_no_traceback() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "estimator", "takeoff", "examples/orchard_bench"],
        cwd=Path(__file__).parents[2],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    process.stdout.close()  # as `| head` does once it has seen enough
    _, complaint = process.communicate(timeout=60)
    assert "Traceback" not in complaint
    assert "Exception" not in complaint


@pytest.mark.parametrize(("count", "words"), [(0, "0 boards"), (1, "1 board"), (12, "12 boards")])
def test_things_are_counted_in_words(count: int, words: str) -> None:
    assert counted(count, "board") == words

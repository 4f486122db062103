"""The arrows between the rooms, as pyproject.toml states them under [tool.importlinter]."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def test_each_room_imports_only_what_it_may() -> None:
    command = [str(Path(sys.executable).parent / "lint-imports"), "--no-logo", "--no-cache"]
    environment = {**os.environ, "COLUMNS": "120"}
    run = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=60)
    if run.returncode != 0:
        # The list of kept contracts comes first; what is broken, and by which line of which module, follows.
        report = run.stdout.partition("Broken contracts")
        pytest.fail("".join(report[1:]) or run.stdout + run.stderr, pytrace=False)
    assert "0 broken" in run.stdout

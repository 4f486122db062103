import subprocess
import sys
from pathlib import Path

import pytest

ORDER = Path(__file__).parents[1] / "broken" / "_good"
NETWORK = {"requests", "requests_cache", "urllib3", "http.client", "estimator.keeping.fetch", "estimator.keeping.door"}


@pytest.mark.parametrize("command", ["check", "quote", "compare", "prices --help", "prices refresh --help"])
def test_only_a_refresh_loads_what_it_takes_to_ask_a_server(command: str) -> None:
    words = command.split() if command.startswith("prices") else [command, str(ORDER)]
    run = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "estimator", *words],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    loaded = {line.rpartition("|")[2].strip() for line in run.stderr.splitlines() if line.startswith("import time:")}
    assert "typer" in loaded, "the list of modules was not understood"
    assert not loaded & NETWORK

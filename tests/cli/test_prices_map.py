import tomllib
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

LIST = "Timber,Size,Length,Price,UOM\noak,2x4,8 ft,10.00,pc\n"


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    path = tmp_path / "yard.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def test_a_map_is_printed(estimator: Estimator, yard: Path) -> None:
    run = estimator("prices", "map", yard)
    assert run.returncode == 0
    assert tomllib.loads(run.stdout)["columns"]["species"] == "Timber"
    assert [path.name for path in yard.parent.iterdir()] == ["yard.csv"]


def test_a_map_is_written_where_that_is_asked_for_and_serves_as_it_is(
    estimator: Estimator, yard: Path, bench_order: Path
) -> None:
    out = bench_order / "yard.map.toml"
    run = estimator("prices", "map", yard, "--out", out)
    assert run.returncode == 0
    assert run.stdout == f"{out.read_text(encoding='utf-8')}\nWrote {out}\n"
    taken = estimator("prices", "take", yard, out, "--yes")
    assert taken.returncode == 0, taken.stderr
    assert (bench_order.parents[1] / "price_tables" / "metric_eur" / "lumber-yard.csv").exists()


def test_a_map_that_is_there_is_never_replaced(estimator: Estimator, yard: Path, tmp_path: Path) -> None:
    out = tmp_path / "yard.map.toml"
    out.write_text("mine", encoding="utf-8")
    run = estimator("prices", "map", yard, "--out", out)
    assert run.returncode == 1
    assert run.stdout == ""
    assert "this map is there already; change it by hand, or choose another name" in run.stderr
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_map_has_a_maps_name(estimator: Estimator, yard: Path) -> None:
    run = estimator("prices", "map", yard, "--out", yard.parent / "yard.toml")
    assert run.returncode == 2
    assert '"yard.toml" is no name for a map; end it in .map.toml' in " ".join(run.stderr.split())


def test_a_list_that_is_none_is_a_fault(estimator: Estimator, yard: Path) -> None:
    yard.write_bytes(b"%PDF-1.7\x00")
    run = estimator("prices", "map", yard)
    assert run.returncode == 1
    assert run.stdout == ""
    assert "yard.csv: is a PDF; ask for it as .csv or .xlsx" in run.stderr
    assert estimator("prices", "map", yard.parent / "nowhere.csv").returncode == 1


def test_a_folder_is_said_to_be_one(estimator: Estimator, tmp_path: Path) -> None:
    run = estimator("prices", "map", tmp_path)
    assert run.returncode == 1
    assert run.stderr.startswith(f"{tmp_path}: is a folder; name the list in it\n")

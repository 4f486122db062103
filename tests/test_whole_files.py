import errno
import os
import stat
from pathlib import Path

import pytest

from estimator.errors import EstimatorError
from estimator.whole_files import write_whole


def test_a_new_file_is_written_whole_and_nothing_else_is_left(tmp_path: Path) -> None:
    write_whole(tmp_path / "quote.xlsx", b"new", replace=False)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"new")]


def test_an_existing_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(b"old")
    with pytest.raises(EstimatorError, match="there already"):
        write_whole(path, b"new", replace=False)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"old")]


def test_a_file_that_appears_at_the_last_moment_is_refused_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "quote.xlsx"
    monkeypatch.setattr(os, "fsync", lambda _: path.write_bytes(b"another program's"))
    with pytest.raises(EstimatorError, match="there already"):
        write_whole(path, b"new", replace=False)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"another program's")]


def test_an_existing_file_is_replaced_when_asked_and_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_whole(path, b"new", replace=True)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"new")]
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_new_file_has_the_permissions_of_any_other_new_file(tmp_path: Path) -> None:
    write_whole(tmp_path / "quote.xlsx", b"new", replace=True)
    (tmp_path / "other").write_bytes(b"")
    assert (tmp_path / "quote.xlsx").stat().st_mode == (tmp_path / "other").stat().st_mode


def test_the_file_behind_a_link_is_replaced_and_the_link_stays(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "14.xlsx").write_bytes(b"old")
    link = tmp_path / "latest.xlsx"
    link.symlink_to("jobs/14.xlsx")
    write_whole(link, b"new", replace=True)
    assert link.is_symlink()
    assert (tmp_path / "jobs" / "14.xlsx").read_bytes() == b"new"
    assert len(list((tmp_path / "jobs").iterdir())) == 1


@pytest.mark.parametrize("replace", [True, False])
def test_a_full_disk_leaves_the_folder_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, replace: bool
) -> None:
    path = tmp_path / "quote.xlsx"
    if replace:
        path.write_bytes(b"old")
    before = [(path.name, path.read_bytes()) for path in tmp_path.iterdir()]

    def disk_is_full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", disk_is_full)
    with pytest.raises(EstimatorError, match="No space left on device"):
        write_whole(path, b"new", replace=replace)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == before


@pytest.mark.parametrize("replace", [True, False])
def test_a_workbook_open_elsewhere_is_left_alone_and_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, replace: bool
) -> None:
    path = tmp_path / "quote.xlsx"
    if replace:
        path.write_bytes(b"old")
    before = [(path.name, path.read_bytes()) for path in tmp_path.iterdir()]

    def is_open(_source: Path, _target: Path) -> Path:
        raise PermissionError(errno.EACCES, "Access is denied")

    monkeypatch.setattr(Path, "replace", is_open)
    with pytest.raises(EstimatorError, match=r"close quote\.xlsx in your spreadsheet program"):
        write_whole(path, b"new", replace=replace)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == before


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(EstimatorError, match=r"no folder .*jobs"):
        write_whole(tmp_path / "jobs" / "quote.xlsx", b"new", replace=False)


def test_a_folder_in_the_place_of_the_file_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "quote.xlsx").mkdir()
    with pytest.raises(EstimatorError, match=r"quote\.xlsx: writing failed"):
        write_whole(tmp_path / "quote.xlsx", b"new", replace=True)
    assert [path.name for path in tmp_path.iterdir()] == ["quote.xlsx"]


def test_a_file_in_the_place_of_the_folder_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "jobs").write_bytes(b"a list")
    with pytest.raises(EstimatorError, match="Not a directory"):
        write_whole(tmp_path / "jobs" / "quote.xlsx", b"new", replace=True)
    assert (tmp_path / "jobs").read_bytes() == b"a list"

"""Tables that are replaced: only where they are still as they were read, and their former self is kept beside them."""

from pathlib import Path

from estimator.errors import EstimatorError
from estimator.reading.lists import shown_path
from estimator.whole_files import write_whole


def kept_path(path: Path) -> Path:
    """Return where the former self of a table is kept."""
    return path.with_name(f"{path.name}.before")


def check_replaceable(path: Path, former: bytes | None) -> None:
    """Raise EstimatorError where a table is not as it was read (None: not there), or must not be written."""
    if (path.read_bytes() if path.exists() else None) != former:
        raise EstimatorError.single(shown_path(path), "was changed meanwhile", "run the command again")
    if former is not None:
        check_writable(path)


def check_writable(path: Path) -> None:
    """Raise EstimatorError where a list is open in another program that locks it, or must not be written."""
    try:
        with path.open("r+b"):
            pass
    except OSError as reason:
        raise EstimatorError.single(
            shown_path(path),
            f"cannot be written ({reason.strerror})",
            "close it in your spreadsheet program if it is open there, and see that it may be written",
        ) from reason


def keep_former(path: Path, former: bytes | None) -> None:
    """Keep a table as it was read; nothing is kept of one that was not there. Raises EstimatorError."""
    if former is not None:
        write_whole(kept_path(path), former, replace=True)

"""Files written whole or not at all, with a sentence for the user where that fails."""

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path

from estimator.errors import EstimatorError


def write_whole(path: Path, content: bytes, *, replace: bool) -> None:
    """Write a file whole or not at all; an existing one is only replaced when asked to.

    The bytes go to a hidden file in the same folder, which takes the name once it is complete, so a full disk or a
    power cut leaves the old file as it was.
    """
    target = path.resolve()  # the file a link points to is replaced, not the link
    unfinished = target.with_name(f".{target.name}.{secrets.token_hex(4)}.tmp")
    try:
        if not replace and target.exists():
            raise FileExistsError
        _write_durably(unfinished, content)
        if target.exists():
            unfinished.chmod(stat.S_IMODE(target.stat().st_mode))
        if replace:
            unfinished.replace(target)
        else:
            _take_free_name(unfinished, target)
    except OSError as error:
        raise _complaint(path, error) from error
    finally:
        with suppress(OSError):  # most often it is not there; if it cannot go, the error above says what is wrong
            unfinished.unlink()


def _write_durably(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _take_free_name(unfinished: Path, target: Path) -> None:
    """Give the file its name unless anything has it, even if that appeared a moment ago.

    An empty file, which can be made on every file system only where the name is free, holds the place.
    """
    with target.open("xb"):
        pass
    try:
        unfinished.replace(target)
    except OSError:
        target.unlink(missing_ok=True)
        raise


def _complaint(path: Path, error: OSError) -> EstimatorError:
    folder = path.parent
    match error:
        case FileExistsError():
            return EstimatorError.single(
                str(path), "this file is there already", "choose another name, or add --replace"
            )
        case PermissionError():
            return EstimatorError.single(
                str(path),
                "this file cannot be written",
                f"close {path.name} in your spreadsheet program if it is open there, or choose another name or folder",
            )
        case FileNotFoundError():
            return EstimatorError.single(str(path), f"there is no folder {folder}", "make it first, or choose another")
    reason = error.strerror or str(error)
    return EstimatorError.single(str(path), f"writing failed: {reason}", "choose another name or folder")

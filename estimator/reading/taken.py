"""The jobs that have been taken out of stock, a row each in a list beside it, so that none is taken twice unnoticed."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.reading.list_changes import changed_list, new_list
from estimator.reading.lists import columns, read_list, shown_path

TAKEN_COLUMNS = columns("date, folder, job", "taken, put_in")


@dataclass(frozen=True, kw_only=True, slots=True)
class TakenJob:
    """A job by its folder as seen from the shop's, with what was made and how many pieces went out and in."""

    origin: Origin
    day: date
    folder: str
    job: str
    taken: int
    put_in: int


def taken_path(stock: Path) -> Path:
    """Return where the list is kept for a list of stock: `stock_taken.csv` beside `stock.csv`."""
    return stock.with_name(f"{stock.stem}_taken.csv")


def read_taken(path: Path, findings: Findings) -> tuple[TakenJob, ...]:
    """Return the jobs taken so far, none where there is no list; faults go to `findings`."""
    if not path.exists():
        return ()
    return tuple(
        TakenJob(
            origin=row.origin,
            day=row.day("date"),
            folder=row.text("folder"),
            job=row.text("job"),
            taken=row.count("taken", low=0, blank=0),
            put_in=row.count("put_in", low=0, blank=0),
        )
        for row in read_list(path, TAKEN_COLUMNS, findings)
    )


def new_job(path: Path, *, day: date, folder: str, job: str, taken: int, put_in: int) -> TakenJob:
    """Return a job that is not in the list yet."""
    return TakenJob(origin=Origin(file=shown_path(path)), day=day, folder=folder, job=job, taken=taken, put_in=put_in)


def taken_list(raw: bytes | None, job: TakenJob) -> bytes:
    """Return the list as a file with one more job; `raw` is the file as it is, None where there is none yet."""
    cells = {
        "date": job.day.isoformat(),
        "folder": job.folder,
        "job": job.job,
        "taken": str(job.taken),
        "put_in": str(job.put_in),
    }
    return new_list(TAKEN_COLUMNS, [cells]) if raw is None else changed_list(raw, TAKEN_COLUMNS, {}, [cells])

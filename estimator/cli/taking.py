"""A job taken out of stock: refused the second time, else written whole, with the former list kept."""

import os
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from estimator.errors import EstimatorError, Fault, Findings
from estimator.keeping.former_tables import check_writable, keep_former
from estimator.reading.lists import shown_path
from estimator.reading.order import Order
from estimator.reading.stock import StockRow, read_stock, stock_list
from estimator.reading.taken import TakenJob, new_job, read_taken, taken_list, taken_path
from estimator.whole_files import write_whole


def planned_job(order: Order, path: Path, *, taken: int, put_in: int) -> TakenJob:
    """Return the job as it is entered, by its folder: a new title or quantity does not make it another."""
    folder = (path if path.is_dir() else path.parent).resolve()
    made = ", ".join(f"{item.quantity} {item.build.name}" for item in order.items)
    return new_job(
        taken_path(order.shop.stock_path),
        day=date.today(),  # noqa: DTZ011 - the day on the user's own calendar
        folder=Path(os.path.relpath(folder, order.shop.folder)).as_posix(),
        job=made if order.title == order.items[0].build.name else f"{order.title}: {made}",
        taken=taken,
        put_in=put_in,
    )


def taken_before(order: Order, job: TakenJob) -> tuple[TakenJob, ...]:
    """Return the times the job was taken before. Raises EstimatorError where the list of jobs cannot be read."""
    findings = Findings()
    jobs = read_taken(taken_path(order.shop.stock_path), findings)
    findings.raise_faults()
    return tuple(one for one in jobs if one.folder == job.folder)


def told(job: TakenJob) -> str:
    """Say when a job was taken, and what it was."""
    return f"this job was taken out of stock on {job.day} ({job.job})"


def write_taken(order: Order, after: Sequence[StockRow], job: TakenJob) -> None:
    """Keep the former list, enter the job and write the new list, in this order: no failure lets it be taken twice.

    Raises EstimatorError where the job was taken before or a file cannot be written; the list is then as it was.
    """
    stock, jobs = order.shop.stock_path, taken_path(order.shop.stock_path)
    _refuse_second(taken_before(order, job))
    former = stock.read_bytes() if stock.exists() else None
    _check_unchanged(order)
    content = stock_list(former, order.stock, after, order.shop.unit)
    if former is not None:
        check_writable(stock)
        keep_former(stock, former)
    write_whole(jobs, taken_list(jobs.read_bytes() if jobs.exists() else None, job), replace=True)
    write_whole(stock, content, replace=True)


def _refuse_second(before: Sequence[TakenJob]) -> None:
    remedy = "to take it once more, or where the stock does not show it, delete this row and run the command again"
    if before:
        raise EstimatorError(tuple(Fault(origin=job.origin, message=f"{told(job)}; {remedy}") for job in before))


def _check_unchanged(order: Order) -> None:
    """Raise EstimatorError where the list was saved anew while the job was planned."""
    if read_stock(order.shop, order.prices.lumber, Findings()) != order.stock:
        file = shown_path(order.shop.stock_path)
        raise EstimatorError.single(file, "was changed while the job was planned", "run the command again")

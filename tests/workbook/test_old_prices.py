"""Prices older than the shop's limit are marked on every sheet that shows them, and only those."""

from collections.abc import Callable, Mapping
from pathlib import Path

from estimator.estimate import Estimate
from estimator.workbook.book import quote_workbook

Sheets = dict[str, dict[str, object]]
WriteOrder = Callable[[Mapping[str, str | None]], Path]

# The quote is of 2026-11-24 and the limit 180 days, so that 2026-05-28 still holds and 2026-05-27 does not.
OLD = {
    "price_tables/lumber.csv": (
        "supplier,species,grade,section,length,price,per,date\n"
        "Mill Yard,western larch,,2x4,8 ft,14.88,each,2026-05-27\n"
    ),
    "price_tables/finishes.csv": "supplier,product,container,price,date\nCorner Shop,Teal oil,1 qt,24.90,2026-05-28\n",
    "price_tables/labour_rates.csv": "rate,per_hour,date\nMaker,34.00,2026-05-27\n",
}


def test_old_prices_are_marked_where_they_are_used(
    small_order: WriteOrder,
    estimated: Callable[[Path], Estimate],
    stored: Callable[[Path], Sheets],
    beside: Callable[[dict[str, object], str, str], object],
    tmp_path: Path,
) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(estimated(small_order(OLD))))
    sheets = stored(path)
    board, can = "western larch 2x4, 8 ft", "Teal oil"
    assert f"{board} (price of 2026-05-27)" in sheets["Buy sheet"].values()
    assert can in sheets["Buy sheet"].values()
    assert beside(sheets["Bill of materials"], board, "I") == "price_tables/lumber.csv:2 (old)"
    assert beside(sheets["Bill of materials"], can, "I") == "price_tables/finishes.csv:2"
    assert beside(sheets["Prices used"], board, "I") == "price_tables/lumber.csv:2 (old)"
    assert beside(sheets["Prices used"], can, "I") == "price_tables/finishes.csv:2"
    assert beside(sheets["Prices used"], "Maker", "I") == "price_tables/labour_rates.csv:2 (old)"
    notes = " ".join(map(str, sheets["Notes and cautions"].values()))
    assert "the price of Maker is of 2026-05-27, 181 days before the quote" in notes

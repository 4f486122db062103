from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from estimator.workbook.places import LONGEST_TITLE, Area, Place, safe_title


def test_a_cell_is_named_within_its_sheet_and_from_outside() -> None:
    place = Place(sheet="Shop settings", row=5, column=28)
    assert place.ref == "AB5"
    assert place.full_ref == "'Shop settings'!$AB$5"


def test_an_area_is_named_within_its_sheet_and_from_outside() -> None:
    area = Area(sheet="Quote", first_row=5, first_column=4, last_row=12, last_column=4)
    assert area.ref == "D5:D12"
    assert area.full_ref == "'Quote'!$D$5:$D$12"


def test_an_area_without_cells_is_refused() -> None:
    with pytest.raises(ValueError, match="no cell"):
        Area(sheet="Quote", first_row=5, first_column=4, last_row=4, last_column=4)


@pytest.mark.parametrize(
    ("wish", "title"),
    [
        ("Bill of materials", "Bill of materials"),
        ("Legs/rails [draft]: a*b?", "Legs rails draft a b"),
        ("Sam's bench", "Sam\u2019s bench"),
        ("history", "history 2"),
        ("  ", "Sheet"),
        ("A very long name for an outdoor dining table", "A very long name for an outdoor"),
    ],
)
def test_titles_are_made_acceptable(wish: str, title: str) -> None:
    assert safe_title(wish, ()) == title


def test_a_taken_title_gets_a_number_whatever_its_case() -> None:
    assert safe_title("QUOTE", ["Quote", "quote 2"]) == "QUOTE 3"
    long = "x" * 40
    assert safe_title(long, ["x" * 31]) == "x" * 29 + " 2"


@settings(max_examples=50, deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=())), max_size=6))
def test_any_titles_become_different_ones_the_library_takes_unchanged(wishes: list[str]) -> None:
    titles: list[str] = []
    for wish in wishes:
        titles.append(safe_title(wish, ["Sheet", *titles]))
    assert len({title.casefold() for title in titles}) == len(titles)
    assert all(0 < len(title) <= LONGEST_TITLE for title in titles)
    book = Workbook()
    for title in titles:
        book.create_sheet(title)
    written = BytesIO()
    book.save(written)
    assert load_workbook(written).sheetnames[1:] == titles

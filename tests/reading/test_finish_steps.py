import pytest

from estimator.reading.finish_steps import parse_covered, parse_surfaces
from estimator.reading.parts import Coated

NAMES = {"leg": "Leg", "seat slat": "Seat slat", "arm": "Arm"}


def test_a_step_names_its_surfaces_as_parts_do_and_has_two_words_of_its_own() -> None:
    assert parse_surfaces("All") == Coated(faces=2, edges=True, ends=True)
    assert parse_surfaces("End grain") == Coated(faces=0, edges=False, ends=True)
    assert parse_surfaces("show faces + edges") == Coated(faces=1, edges=True, ends=False)


def test_surfaces_that_are_none_are_refused_with_the_words_as_they_were_written() -> None:
    with pytest.raises(ValueError, match=r'"end grian" names no surfaces; write .* end grain'):
        parse_surfaces("end grian")


@pytest.mark.parametrize(
    ("text", "covered"),
    [
        ("Arm", ("arm",)),
        ("arm + Seat-Slat", ("seat slat", "arm")),
        ("all but Leg", ("seat slat", "arm")),
        ("All but leg + arm", ("seat slat",)),
    ],
)
def test_parts_are_named_or_left_out(text: str, covered: tuple[str, ...]) -> None:
    assert parse_covered(text, NAMES) == covered


def test_a_part_that_is_not_there_is_refused_with_the_nearest_one() -> None:
    with pytest.raises(ValueError, match=r'"Seat slt" is no part of this build \(did you mean "Seat slat"\?\)'):
        parse_covered("Leg + Seat slt", NAMES)


def test_a_step_that_leaves_no_part_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves no part to cover"):
        parse_covered("all but leg + seat slat + arm", NAMES)


def test_without_a_list_of_parts_nothing_is_looked_up() -> None:
    assert parse_covered("Arm", {}) == ()

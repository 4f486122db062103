import pytest

from estimator.reading.finish_steps import parse_covered, parse_surfaces, surface_words
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
    ("text", "faces", "edges", "ends"),
    [
        ("all but underside", 1, True, True),
        ("All  but ends", 2, True, False),
        ("all but end grain", 2, True, False),
        ("all but edges", 2, False, True),
        ("all but faces", 0, True, True),
        ("all but underside + end grain", 1, True, False),
        ("all but edges and ends", 2, False, False),
    ],
)
def test_surfaces_may_be_named_by_what_is_left_out(text: str, faces: int, *, edges: bool, ends: bool) -> None:
    assert parse_surfaces(text) == Coated(faces=faces, edges=edges, ends=ends)


def test_what_may_be_left_out_is_a_surface_and_not_all_of_them() -> None:
    for text in ("all but top", "all but", "all but show faces"):
        with pytest.raises(ValueError, match=r"names no surfaces; write .* all but some of underside, faces"):
            parse_surfaces(text)
    with pytest.raises(ValueError, match="leaves no surface to cover; take the row out"):
        parse_surfaces("all but faces, edges, ends")


def test_the_words_for_surfaces_are_kept_as_a_sentence_has_them() -> None:
    assert surface_words("All") == "all"
    assert surface_words("One face; edges + ends") == "one face, edges and ends"
    assert surface_words("all but edges & end grain") == "all but edges and end grain"


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


@pytest.mark.parametrize(
    ("text", "covered"),
    [
        ("Leg", ("front leg", "back leg")),
        ("all but LEG", ("seat", "seat slat", "seat bearer", "legend")),
        ("Seat slat", ("seat slat",)),
        ("seat", ("seat",)),  # the part of that name goes before those it stands in
        ("slat + bearer", ("seat slat", "seat bearer")),
        ("Back + Seat-bearer", ("back leg", "seat bearer")),
    ],
)
def test_a_name_that_no_part_has_covers_those_it_stands_in(text: str, covered: tuple[str, ...]) -> None:
    names = ("Front leg", "Back leg", "Seat", "Seat slat", "Seat bearer", "Legend")
    assert parse_covered(text, {name.lower(): name for name in names}) == covered


def test_part_of_a_word_is_no_name() -> None:
    with pytest.raises(ValueError, match=r'"Slats" is no part of this build \(did you mean "slat"\?\)'):
        parse_covered("Slats", NAMES)


def test_a_part_that_is_not_there_is_refused_with_the_nearest_one() -> None:
    with pytest.raises(ValueError, match=r'"Seat slt" is no part of this build \(did you mean "Seat slat"\?\)'):
        parse_covered("Leg + Seat slt", NAMES)


def test_a_step_that_leaves_no_part_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves no part to cover"):
        parse_covered("all but leg + seat slat + arm", NAMES)


def test_without_a_list_of_parts_nothing_is_looked_up() -> None:
    assert parse_covered("Arm", {}) == ()

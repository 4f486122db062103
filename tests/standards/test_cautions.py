import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.standards.cautions import Caution, caution_topics, cautions_for

ALL = cautions_for(topics=caution_topics())


@pytest.mark.parametrize("caution", ALL, ids=lambda caution: caution.key)
def test_a_caution_fits_a_line_names_its_source_and_defers_to_others(caution: Caution) -> None:
    text = caution.text
    assert len(text) <= 160
    assert caution.source
    assert any(word in text for word in ("label", "local", "maker's sheet"))


def test_the_dangers_of_the_trade_are_covered() -> None:
    expected = {
        "wood_dust",
        "sensitising_dust",
        "oily_rags",
        "solvent",
        "ripping",
        "noise",
        "treated_wood",
        "old_paint",
        "two_part",
        "sanding",
    }
    assert expected | {"seating"} == caution_topics()
    assert len({caution.key for caution in ALL}) == len(ALL)


@given(st.sets(st.sampled_from(sorted(caution_topics()))))
def test_only_the_topics_of_the_job_are_printed_and_always_in_the_same_order(topics: set[str]) -> None:
    chosen = cautions_for(topics=frozenset(topics))
    assert {caution.topic for caution in chosen} == topics
    assert list(chosen) == [caution for caution in ALL if caution in chosen]


def test_no_standard_is_claimed_for_wooden_chairs() -> None:
    # ASTM F1561 and F1858 are for plastic chairs (titles), so a wooden chair may not claim them.
    (caution,) = cautions_for(topics=frozenset({"seating"}))
    assert "no test standard" in caution.text
    assert "before delivery" in caution.text
    assert "ASTM" not in caution.text


def test_respirators_are_named_by_class_and_said_to_be_from_memory() -> None:
    # 42 CFR 84: N95 stops 95 percent of the test aerosol, N100 and P100 99.97; EN 149: FFP2, FFP3. Both from memory.
    dust, sensitising = cautions_for(topics=frozenset({"wood_dust", "sensitising_dust"}), woods=("iroko",))
    assert all(word in dust.text for word in ("N95 (US)", "FFP2 (Europe)"))
    assert all(word in sensitising.text for word in ("Dust of iroko", "N100 or P100 (US)", "FFP3 (Europe)"))
    for caution in (dust, sensitising):
        assert all(word in caution.source for word in ("42 CFR 84", "EN 149", "from memory"))
    (solvent,) = cautions_for(topics=frozenset({"solvent"}))
    assert "a dust respirator does not stop its vapour" in solvent.text


def test_dust_of_woods_that_nobody_names_is_that_of_some() -> None:
    (caution,) = cautions_for(topics=frozenset({"sensitising_dust"}))
    assert caution.text.startswith("Dust of some woods can")


def test_a_topic_without_cautions_is_refused() -> None:
    with pytest.raises(ValueError, match="no caution on lasers; topics are noise"):
        cautions_for(topics=frozenset({"lasers"}))

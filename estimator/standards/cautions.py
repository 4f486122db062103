"""Short safety cautions to print with a job, chosen by what the job contains.

They remind; they are not advice on law or health, and each points to the label, the maker or the local rules.
"""

from dataclasses import dataclass, replace
from functools import cache

from estimator.standards.tables import read_table


@dataclass(frozen=True, kw_only=True, slots=True)
class Caution:
    """One caution, short enough for a line of a printed sheet."""

    key: str
    topic: str
    text: str
    source: str
    status: str


def caution_topics() -> frozenset[str]:
    """Return the topics that there are cautions for."""
    return frozenset(caution.topic for caution in _all_cautions())


def cautions_for(*, topics: frozenset[str], woods: tuple[str, ...] = ()) -> tuple[Caution, ...]:
    """Return the cautions on these topics, in the order of the table; ValueError for a topic there is none on.

    Those on dust that makes allergic name the woods that it is of.
    """
    unknown = topics - caution_topics()
    if unknown:
        raise ValueError(
            f"no caution on {', '.join(sorted(unknown))}; topics are {', '.join(sorted(caution_topics()))}"
        )
    named = " and ".join(filter(None, [", ".join(woods[:-1]), *woods[-1:]])) or "some woods"
    return tuple(
        replace(caution, text=caution.text.replace("{woods}", named))
        for caution in _all_cautions()
        if caution.topic in topics
    )


@cache
def _all_cautions() -> tuple[Caution, ...]:
    return tuple(
        Caution(key=row["key"], topic=row["topic"], text=row["text"], source=row["source"], status=row["status"])
        for row in read_table("cautions.csv")
    )

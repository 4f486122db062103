"""`estimator prices map`: proposes which of a list's columns is which of ours, as a file to look over and change."""

from pathlib import Path

from estimator.cli.prices_take import list_content
from estimator.cli.terminal import print_notices
from estimator.errors import EstimatorError, Findings
from estimator.keeping.proposal import proposed_map
from estimator.reading.lists import shown_path
from estimator.whole_files import write_whole


def map_command(file: Path, out: Path | None) -> None:
    """Print a proposed map, and write it where that is asked for; an existing map is never replaced."""
    if out is not None and out.exists():
        message, remedy = "this map is there already", "change it by hand, or choose another name"
        raise EstimatorError.single(shown_path(out), message, remedy)
    findings = Findings()
    proposal = proposed_map(list_content(file), file.name, findings)
    findings.raise_faults()
    print(proposal, end="")
    print_notices(findings.notices)
    if out is not None:
        write_whole(out, proposal.encode(), replace=False)
        print(f"\nWrote {shown_path(out)}")

"""The ten sentences that open the season review, from the facts of review and plan."""

from __future__ import annotations

from collections.abc import Callable

from kit.report.words.ahead import certainty, next_year
from kit.report.words.doing import effort, first, still_open
from kit.report.words.phrases import Facts, Sentence
from kit.report.words.treated import weak, worked
from kit.report.words.winter import late, losses, why_late
from kit.season.findings import Findings


def season_sentences(review: Findings, plan: Findings | None) -> list[Sentence]:
    """The ten sentences of the first page.

    Parameters
    ----------
    review : Findings
        Of the whole operation.
    plan : Findings or None
        Next season's plan, None when only the review was made.

    Returns
    -------
    list of Sentence
        Always ten, in order of need; what is not recorded is said to be so.
    """
    facts = review.facts
    said = [Sentence(sentence(facts), why) for sentence, why in _ABOUT_THE_SEASON]
    nine = Sentence(
        next_year(plan.facts) if plan else "Next year: not planned in this run; `season plan` does it.", "plan"
    )
    return [*said, nine, Sentence(certainty(facts), "trust")]


_ABOUT_THE_SEASON: tuple[tuple[Callable[[Facts], str], str], ...] = (
    (losses, "losses"),
    (late, "lateness"),
    (why_late, "lateness"),
    (worked, "kill"),
    (weak, "kill"),
    (first, "first"),
    (still_open, "open"),
    (effort, "effort"),
)

"""A translation is a file: complete, with the same parts filled in, and read as its language is written."""

import re
import string

import pytest

from kit.errors import CannotGoOnError
from kit.report.words import apiary_sentences
from kit.report.words.language import ENGLISH, known, language
from kit.season.findings import Findings
from tests.unit.words.facts import KILL, PLAN_APIARY, apiary

OTHERS = [code for code in known() if code != ENGLISH]
ITS_OWN = ("words", "texts")


def templates(code: str) -> dict[str, str]:
    return {
        f"{section}.{name}": template
        for section, templates in language(code).file.items()
        if isinstance(templates, dict) and section not in ITS_OWN
        for name, template in templates.items()
        if isinstance(template, str)
    }


def parts(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name}


@pytest.mark.parametrize("code", OTHERS)
def test_a_translation_holds_every_sentence_with_the_same_parts(code: str) -> None:
    ours, english = templates(code), templates(ENGLISH)
    assert ours.keys() == english.keys()
    assert {name for name in ours if parts(ours[name]) != parts(english[name])} == set()
    assert language(code).file["count"].keys() == language().file["count"].keys()


@pytest.mark.parametrize("code", OTHERS)
def test_what_the_review_says_is_translated_with_the_same_parts(code: str) -> None:
    texts = language(code).file["texts"]
    assert {english for english, ours in texts.items() if parts(ours) != parts(english)} == set()


def german(**changes: object) -> list[str]:
    return [said.text for said in apiary_sentences(apiary(**changes), Findings({}, {"A": PLAN_APIARY}), "A", code="de")]


def test_the_five_sentences_in_german() -> None:
    """Wording checked by eye; numbers and dates as German writes them: 1.200, 3,5, 3. August 2026 (common practice)."""
    row = {
        "treatment": "oxalic sublimation", "start": "2025-11-01", "rounds": 3, "basis": "counts before and after "
        "(3 before, 9 after its start)", "cause": "poor seal", "evidence": "seal poor at 2 of 3 rounds",
        "check": "foam or tray that fits; look for vapour leaking out", **KILL,
    }  # fmt: skip
    lost = {"wintered": 12, "came_out": 10, "lost": 2, "lost_pct": 16.7, "lost_pct_low": 4.7, "lost_pct_high": 44.8}
    said = german(
        **lost, lost_by_cause=[{"cause": "queen", "lost": 2}], heads_missing=None, treatment="amitraz strips",
        treated_on="2025-09-10", days_late=26, why_late="ground", treatments=[row], load_p05=3.5, load_p50=1234.0,
        load_p95=2100.0, load_basis="from 9 counts, the last read 2025-11-18, carried by usual growth and kills",
    )  # fmt: skip
    assert said[0] == (
        "Eingewintert: 12 Völker, ausgewintert: 10; verloren: 2 (17 %, wahrscheinlich 5 bis 45 %), "
        "davon 2 durch Ausfall der Königin."
    )
    assert said[1] == "Amitrazstreifen: begonnen am 10. September, 26 Tage nach dem 15. August (Grund: Boden)."
    assert said[2] == (
        "Oxalsäureverdampfung, 3 Gaben ab 1. November: etwa 72 % (wahrscheinlich 61 bis 80) der Milben getötet; "
        "Zählungen davor und danach (3 davor, 9 nach dem Beginn); schwach, wahrscheinliche Ursache: undichte Beute "
        "(bei 2 von 3 Gaben undicht): passender Schaumstoff oder Schieber; schauen, ob Dampf austritt."
    )
    assert said[3] == (
        "Am 31. März etwa 1.200 Milben je Volk (wahrscheinlich 4 bis 2.100), aus 9 Zählungen, die letzte vom "
        "18. November 2025, fortgeschrieben mit üblichem Wachstum und üblicher Wirkung."
    )
    assert language("de").number(3.5) == "3,5"
    assert said[4] == ("Nächstes Jahr: zuerst Amitrazstreifen am 3. August 2026; mitnehmen: 24 Streifen und 3 Schalen.")


def test_there_are_five_in_every_language_even_when_nothing_was_written() -> None:
    for code in known():
        said = [sentence.text for sentence in apiary_sentences(apiary(), None, "A", code=code)]
        assert len(said) == 5 and all(said)
        assert not any(re.search(r"\bNone\b|[{}]|  |\.\.", text) for text in said), said


def test_a_persons_own_words_stay_as_written_braces_and_all() -> None:
    said = german(treatment="amitraz strips", treated_on="2025-09-10", days_late=1, why_late="{x} flood </ol>")
    assert "1 Tag nach dem 15. August (Grund: {x} flood </ol>)." in said[1]


def test_a_list_of_the_sheets_words_is_translated_whole_and_other_texts_with_an_and_in_them_stay() -> None:
    say = language("de")
    assert say.text("amitraz strips and oxalic sublimation") == "Amitrazstreifen und Oxalsäureverdampfung"
    assert say.text("amitraz strips and my own brew") == "amitraz strips and my own brew"
    assert say.text("supers off only on 28 August") == "Honigräume erst am 28. August ab"


def test_a_language_without_a_file_is_refused_with_those_there_are() -> None:
    with pytest.raises(CannotGoOnError, match="no sentences in language 'xx'; there are: de, en"):
        apiary_sentences(apiary(), None, "A", code="xx")

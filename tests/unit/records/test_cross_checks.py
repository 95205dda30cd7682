"""Rows that speak against each other are reported, with their place, and every one of them is used."""

import pytest

from .conftest import Read, said

COLONIES = "colony,apiary,from,to\nM1,MEADOW,2025-05-01,2025-09-01\n"
COUNT = "date,apiary,colony,method,mites,days\n"
TREATMENT = "date,apiary,treatment,product,supers_on,sublimator,colonies,removed\n"
LOG = "date,apiary,did,standing,done,dead\n"


@pytest.mark.parametrize(
    ("sheets", "file", "column", "wrong"),
    [
        ({"log": LOG + "2025-08-02,MEADOW,oxalic sublimation,10,12,\n"}, "log.csv", "done", "more hives treated"),
        (
            {"log": LOG + "2025-08-02,MEADOW,heads,0,,\n2025-08-20,MEADOW,oxalic sublimation,,,\n"},
            "log.csv",
            "apiary",
            "no hives there",
        ),
        (
            {"colonies": COLONIES, "counts": COUNT + "2025-04-02,MEADOW,M1,board,5,7\n"},
            "counts.csv",
            "colony",
            "did not stand",
        ),
        (
            {"colonies": COLONIES, "counts": COUNT + "2025-06-02,BANK,M1,board,5,7\n"},
            "counts.csv",
            "colony",
            "did not stand",
        ),
        (
            {"colonies": COLONIES, "treatments": TREATMENT + "2025-10-01,MEADOW,thymol,,,,M1,\n"},
            "treatments.csv",
            "colonies",
            "no longer there",
        ),
        (
            {
                "labels": "product,supers_allowed\npowder,no\n",
                "treatments": TREATMENT + "2025-07-01,MEADOW,oxalic sublimation,Powder,yes,,,\n",
            },
            "treatments.csv",
            "supers_on",
            "forbids",
        ),
        (
            {
                "gear": "item,kind,bought\nS1,sublimator,2025-08-01\n",
                "treatments": TREATMENT + "2025-07-01,MEADOW,oxalic sublimation,,,S1,,\n",
            },
            "treatments.csv",
            "sublimator",
            "before it was bought",
        ),
        (
            {"treatments": TREATMENT + "2025-08-01,MEADOW,amitraz strips,,,,,2025-07-01\n"},
            "treatments.csv",
            "removed",
            "before date",
        ),
        (
            {"log": LOG + "2025-08-01,MEADOW,heads,12,,\n2025-10-01,MEADOW,heads,9,,1\n"},
            "log.csv",
            "standing",
            "makes 11: the count is used",
        ),
        ({"log": LOG + "2025-08-01,MEADOW,look,,,\n2025-08-01,MEADOW,look,,,\n"}, "log.csv", "", "the same line"),
        (
            {
                "gear": "item,kind,bought\nB1,battery,2025-08-01\n",
                "visits": "date,apiary,supply\n2025-07-31,MEADOW,B1\n",
            },
            "visits.csv",
            "supply",
            "before it was bought on 2025-08-01",
        ),
        (
            {"log": LOG + "2025-09-01,MEADOW,heads,12,,\n2025-09-20,MEADOW,oxalic sublimation,,14,\n"},
            "log.csv",
            "done",
            "14 hives treated, though the heads of 2025-09-01 with the events since make 12",
        ),
        (
            {
                "log": LOG + "2025-09-01,MEADOW,heads,2,,\n",
                "treatments": TREATMENT + "2025-09-20,MEADOW,thymol,,,,M1; M2; M3,2025-10-20\n",
            },
            "treatments.csv",
            "colonies",
            "3 hives treated, though the heads of 2025-09-01",
        ),
        (
            {"treatments": TREATMENT + "2025-08-01,MEADOW,amitraz strips,,,,,\n"},
            "treatments.csv",
            "removed",
            "never taken out by these records, 242 days after",  # 1 Aug 2025 to 31 Mar 2026, the season's end
        ),
        ({"log": LOG + "2025-08-01,MEADOW,thymol; strips in,,,\n"}, "log.csv", "removed", "never taken out"),
        (
            {
                "labels": "product,supers_allowed\npowder,no\n",
                "crops": "apiary,crop,supers_on,supers_off\nMEADOW,lime,2025-06-01,2025-07-20\n",
                "treatments": TREATMENT + "2025-07-01,MEADOW,oxalic sublimation,powder,,,,\n",
            },
            "treatments.csv",
            "supers_on",
            "supers were on from 2025-06-01 by crops.csv row 2, which the label of powder forbids",
        ),
        (
            {
                "labels": "product,supers_allowed\nstrips,no\n",
                "crops": "apiary,crop,supers_on,supers_off\nMEADOW,rape,2025-04-20,\n",  # put on while strips were in
                "treatments": TREATMENT + "2025-04-01,MEADOW,amitraz strips,strips,no,,,2025-05-13\n",
            },
            "treatments.csv",
            "supers_on",
            "supers were on from 2025-04-20",
        ),
    ],
)
def test_a_contradiction_is_reported_and_nothing_is_thrown_away(
    read: Read, sheets: dict[str, str], file: str, column: str, wrong: str
) -> None:
    records = read(sheets)
    assert said(records, file=file, column=column)["problem"].str.contains(wrong).any()
    assert records.account["set_aside"].sum() == 0


@pytest.mark.parametrize(
    ("event", "after"),
    [
        ("split,MEADOW,MEADOW,2", 14),
        ("split,M1,BANK,1", 12),
        ("moved,MEADOW,BANK,3", 9),
        ("bought,,MEADOW,4", 16),
        ("sold,MEADOW,,1", 11),
        ("swarm,M1,,1", 12),
        ("swarm,M1,MEADOW,1", 13),
        ("united,MEADOW,MEADOW,1", 11),
        ("requeened,M1,,1", 12),
        ("standstill,MEADOW,,12", 12),
    ],
)
def test_heads_add_up_through_events(read: Read, event: str, after: int) -> None:
    events = f"date,kind,from,to,hives\n2025-06-01,{event}\n"
    colonies = "colony,apiary,from,to\nM1,MEADOW,,\n"
    for found, problems in ((after, 0), (after + 1, 1), (after - 1, 1)):
        log = LOG + f"2025-05-01,MEADOW,heads,12,,\n2025-08-01,MEADOW,heads,{found},,\n"
        records = read({"log": log, "events": events, "colonies": colonies})
        assert len(said(records, column="standing")) == problems
        assert records.hives("MEADOW", records.settings.season_start.replace(month=7)) == after


@pytest.mark.parametrize(
    "sheets",
    [
        {"treatments": TREATMENT + "2025-08-01,MEADOW,amitraz strips,,,,,2025-09-20\n"},
        {"log": LOG + "2025-08-01,MEADOW,amitraz strips; strips in,,,\n2025-09-20,MEADOW,strips out,,,\n"},
        {"treatments": TREATMENT + "2026-03-01,MEADOW,amitraz strips,,,,,\n"},  # in for a month: not overdue
        {
            "treatments": TREATMENT.replace("removed", "removed,corrects")
            + "2025-08-01,MEADOW,amitraz strips,,,,,,\n2025-08-01,MEADOW,amitraz strips,,,,,2025-09-20,row 2\n"
        },
        {  # two splits written down since the count make fourteen
            "log": LOG + "2025-05-01,MEADOW,heads,12,,\n2025-05-20,MEADOW,oxalic trickle,,14,\n",
            "events": "date,kind,from,to,hives\n2025-05-10,split,MEADOW,MEADOW,2\n",
        },
        {"log": LOG + "2025-03-01,MEADOW,heads,12,,\n2025-08-20,MEADOW,oxalic sublimation,,14,\n"},  # an old count
        {
            "labels": "product,supers_allowed\npowder,no\n",
            "crops": "apiary,crop,supers_on,supers_off\nMEADOW,lime,2025-06-01,2025-07-20\nBANK,lime,2025-06-01,\n",
            "treatments": TREATMENT + "2025-07-20,MEADOW,oxalic sublimation,powder,,,,\n",  # the day they came off
        },
    ],
)
def test_what_fits_together_is_left_alone(read: Read, sheets: dict[str, str]) -> None:
    said_of = read(sheets).problems["problem"]
    assert not said_of.str.contains("never taken out|hives treated|supers were on").any()

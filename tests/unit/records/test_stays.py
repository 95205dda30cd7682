"""Stays of colonies: overlaps closed and reported, doubled numbers told apart, empty apiaries filled in."""

from .conftest import Read, said

COLONIES = "colony,apiary,from,to\n"


def test_an_overlap_closes_the_earlier_stay_and_is_reported(read: Read) -> None:
    records = read({"colonies": COLONIES + "M1,MEADOW,2024-05-01,\nM1,BANK,2025-06-01,\n"})
    assert records.tables["colonies"]["to"].dt.strftime("%Y-%m-%d").tolist()[0] == "2025-06-01"
    assert len(said(records, column="to", row=2)) == 1


def test_stays_that_meet_are_no_overlap(read: Read) -> None:
    records = read({"colonies": COLONIES + "M1,MEADOW,2024-05-01,2025-06-01\nM1,BANK,2025-06-01,\n"})
    assert said(records, file="colonies.csv").empty


def test_a_number_used_at_two_apiaries_at_once_is_two_colonies(read: Read) -> None:
    counts = "date,apiary,colony,method,mites,days\n2025-08-02,BANK,1,board,5,7\n2025-08-02,,1,board,5,7\n"
    records = read({"colonies": COLONIES + "1,MEADOW,2024-05-01,\n1,BANK,2024-05-01,\n", "counts": counts})
    assert records.tables["colonies"]["to"].isna().all()
    assert "used at once at MEADOW, BANK" in said(records, file="colonies.csv")["problem"].item()
    assert len(records.tables["counts"]) == 1
    assert len(said(records, file="counts.csv", row=3, column="apiary")) == 1


def test_an_empty_apiary_follows_from_where_the_colony_stood_that_day(read: Read) -> None:
    counts = "date,apiary,colony,method,mites,days\n2025-05-02,,M1,board,5,7\n2025-08-02,,m1,board,5,7\n"
    colonies = COLONIES + "M1,MEADOW,,2025-06-01\nM1,BANK,2025-06-01,\n"
    assert read({"colonies": colonies, "counts": counts}).tables["counts"]["apiary"].tolist() == ["MEADOW", "BANK"]

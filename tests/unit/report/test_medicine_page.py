"""The medicine record as a page: corrections kept and dated, the law named, nothing folded away, hostile text inert."""

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from kit import cli
from kit.records.load import load
from kit.records.records import Records
from kit.report.medicine import medicine_page
from kit.season.medicine.record import medicine_record

SHEETS = {
    "settings": "setting,value\nkeeper,Somebody\nseason_start,2025-04-01\njurisdiction,gb\n",
    "apiaries": "apiary,name,hives,mites_notified\nMEADOW,Far Meadow,12,2021-06-01\nBANK,The Bank,8,\n",
    "labels": "product,active,authorised,strength_mg_per_g,withdrawal_days,max_dose,dose_unit\n"
    "powder A,oxalic acid dihydrate,yes,886,0,2.3,g product per hive\nstrips B,amitraz,yes,,7,,\ncrystals C,,no,,,,\n",
    "colonies": "colony,apiary,from,to,outcome\nM1,MEADOW,2025-04-01,2025-09-10,moved\nM1,BANK,2025-09-10,,alive\n"
    "B1,BANK,2025-04-01,,alive\n",
    "treatments": "date,apiary,colonies,treatment,product,batch,dose,unit,removed,written_on,corrects,notes\n"
    "2025-09-03,MEADOW,all,oxalic sublimation,powder A,OX1,3.2,g,,2025-09-03,,<b>first</b>\n"
    "2025-09-03,MEADOW,all,oxalic sublimation,powder A,OX1,2.3,g,,2025-09-05,row 2,\n"
    "2025-08-20,BANK,all,amitraz strips,strips B,ST9,2,strips,2025-10-01,,,\n"
    "2025-11-20,BANK,B1,oxalic trickle,crystals C,,5,ml,,2025-11-20,,\n",
    "medicines": "date,event,product,batch,expiry,quantity,unit,supplier,supplier_address,evidence,written_on\n"
    "2025-06-14,bought,powder A,OX1,2027-12-31,100,g,A shop,1 Example Row,folder 3,2025-06-14\n",
    "events": "date,kind,from,to\n2025-07-01,standstill,BANK,\n2025-07-20,standstill lifted,BANK,\n",
    "log": "date,apiary,did,standing,done\n2025-09-03,MEADOW,oxalic sublimation,12,12\n"
    "2025-08-20,BANK,amitraz strips; strips in,8,6\n",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in SHEETS.items():
        (tmp_path / f"{name}.csv").write_text(text)
    return tmp_path


@pytest.fixture
def records(folder: Path) -> Records:
    return load(folder, today=date(2026, 3, 1), as_of=date(2026, 3, 1))


@pytest.fixture
def page(records: Records) -> str:
    return medicine_page(records, medicine_record(records), "2026-03-01")


def test_a_corrected_line_stays_struck_through_with_the_day_and_the_line_that_corrects_it(page: str) -> None:
    struck = page.split('<tr class="struck">')[1].split("</tbody>")[0]
    assert "3.2 g a hive" in struck and "Struck through on 5 Sep 2025: treatments.csv row 3 corrects it." in struck
    assert page.count('<tr class="struck">') == 1
    assert "4 lines in force: 3 treatments given, 1 purchase and no disposals; 1 line struck through" in page


def test_one_row_tells_a_batch_from_purchase_to_rest_and_stands_before_the_lines(page: str) -> None:
    first = page.split('id="products"')[1].split("</section>")[0]
    assert page.index('id="products"') < page.index('id="administration"')
    told = [row for row in first.split("<tr>") if "OX1" in row]
    assert len(told) == 1 and "100 g, 14 Jun 2025, from A shop" in told[0]
    assert "27.6 g, 1 time at MEADOW, 3 Sep 2025" in told[0]  # 12 hives x 2.3 g; the struck line is not counted


def test_treatments_without_a_product_have_a_row_among_the_products(folder: Path) -> None:
    log = folder / "log.csv"
    log.write_text(log.read_text() + "2025-12-01,MEADOW,oxalic trickle,12,12\n")
    records = load(folder, today=date(2026, 3, 1), as_of=date(2026, 3, 1))
    page = medicine_page(records, medicine_record(records), "2026-03-01")
    first = page.split('id="products"')[1].split("</section>")[0]
    assert "oxalic trickle, product not recorded" in first and "1 time at MEADOW, 1 Dec 2025" in first


def test_the_page_says_which_rules_and_version_it_follows_and_who_decides(page: str) -> None:
    assert "Veterinary Medicines Regulations 2013 (SI 2013/2033), regulations 17 and 19 as made" in page
    assert "the amendments of 2024 (SI 2024/567, Great Britain) list no change to either" in page
    assert "The law in force and the inspector decide what is enough" in page


def test_the_withdrawal_period_ends_as_many_days_after_the_last_day_as_the_label_says(page: str) -> None:
    assert "7 days, to 8 Oct 2025" in page  # 1 Oct + 7 days
    assert "0 days, to 3 Sep 2025" in page


def test_a_substance_that_is_no_medicine_is_marked_and_gets_no_withdrawal_period(page: str) -> None:
    line = page.split("oxalic trickle, crystals C")[1].split("</tbody>")[0]
    assert "not an authorised medicine" in line and "none can be given" in line
    assert "Not complete: crystals C is not an authorised medicine" in page


def test_each_line_says_when_it_was_done_and_when_it_was_written_and_how_long_it_is_kept(page: str) -> None:
    assert "20 Aug 2025 to 1 Oct 2025; day of writing not recorded" in page
    assert "20 Nov 2025; written that day" in page and "20 Nov 2030" in page


def test_stock_stands_with_the_scatter_of_the_spoon(page: str) -> None:
    # 100 g bought, 12 hives x 2.3 g = 27.6 g given; spoonfuls 0.9 to 1.12 times what was meant (assumed)
    assert "72.4 g, 69.1 to 75.2 with the scatter of the spoon" in page


def test_notices_and_standstills_are_listed(page: str) -> None:
    assert "1 Jun 2021" in page and "standstill lifted" in page and "20 Jul 2025" in page
    assert "notice of mites not recorded" in page


def test_text_of_cells_is_shown_and_never_obeyed(page: str) -> None:
    assert "&lt;b&gt;first&lt;/b&gt;" in page and "<b>first" not in page


def test_nothing_of_the_record_is_folded_away(page: str) -> None:
    assert "<details" not in page


def test_the_history_of_a_colony_follows_it_and_says_how_sure_it_is(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    arguments = ["record", str(folder), "--out", str(out), "--colony", "M1", "--as-of", "2026-03-01"]
    assert cli.main(arguments) == 0
    lines = pd.read_csv(out / "tables" / "medicine_history_colony_M1.csv")
    told = dict(zip(lines["treatment"] + " " + lines["status"], lines["reached"], strict=True))
    assert told == {
        "amitraz strips in force": "6 of 8 hives, not written which",  # they were in when it came to BANK
        "oxalic sublimation struck through": "the whole apiary was treated",
        "oxalic sublimation in force": "the whole apiary was treated",
    }
    page = (out / "medicine_history_colony_M1.html").read_text()
    assert "2 treatments of colony M1" in page and "6 of 8 hives, not written which" in page


def test_the_history_of_an_apiary_holds_that_apiary_only(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert cli.main(["record", str(folder), "--out", str(out), "--apiary", "BANK", "--as-of", "2026-03-01"]) == 0
    lines = pd.read_csv(out / "tables" / "medicine_history_apiary_BANK.csv")
    assert set(lines["apiary"]) == {"BANK"} and len(lines) == 2


@pytest.mark.parametrize(
    ("law", "title", "notice"),
    [
        ("gb", "Veterinary Medicines Regulations 2013 (SI 2013/2033), regulations 17 and 19", True),
        ("ni", "Veterinary Medicines Regulations 2013 (SI 2013/2033), regulations 17 and 19", False),
        ("eu", "Regulation (EU) 2019/6, Article 108", False),
        ("other", "no regulation known here", False),
    ],
)
def test_the_jurisdiction_asked_for_is_followed_and_named_on_the_page_with_its_version(
    folder: Path, tmp_path: Path, law: str, title: str, notice: bool
) -> None:
    out = tmp_path / "out"
    assert cli.main(["record", str(folder), "--out", str(out), "--jurisdiction", law]) == 0
    page = (out / "medicine_record.html").read_text()
    assert title in page and ("notice of mites not recorded" in page) == notice
    assert (out / "tables" / "medicine_record.csv").exists()


def test_a_colony_nobody_wrote_down_is_one_sentence(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["record", str(folder), "--out", str(tmp_path / "out"), "--colony", "M2"]) == 2
    assert "colony 'M2' is not in the sheet colonies" in capsys.readouterr().err


def test_each_printed_page_names_the_keeper_and_a_hostile_name_stays_within_its_quotes(folder: Path) -> None:
    keeper = '"A""; } body { display: none"'
    (folder / "settings.csv").write_text(f"setting,value\nkeeper,{keeper}\nseason_start,2025-04-01\n")
    given = load(folder, today=date(2026, 3, 1), as_of=date(2026, 3, 1))
    head = medicine_page(given, medicine_record(given), "2026-03-01").split("@top-left { content: ", 1)[1]
    said = head.split("; font", 1)[0]
    assert said.startswith('"') and said.endswith('Medicine record"') and said.count('"') == 2
    assert "{" not in said and "display" in said

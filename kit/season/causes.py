"""Why a treatment may have killed little: what the records show, ranked by what it usually costs; not a verdict."""

from __future__ import annotations

from typing import Any, NamedTuple

import pandas as pd

from kit.constants import reading
from kit.constants.reading import FAR_SHORT
from kit.constants.treatment_words import OXALIC, SYNTHETIC
from kit.season.usual import Usual

COLUMNS = ["apiary", "of", "treatment", "rank", "cause", "evidence", "check", "treatment_no"]
COLD_C = 4.0


class Cause(NamedTuple):
    """A likely cause, how heavy it weighs, and what to look at."""

    weight: float
    cause: str
    evidence: str
    check: str


def weak(row: Any) -> bool:
    """Whether a kill is short of what is expected of its kind: surely, or its middle by far where a count looked."""
    word = row["treatment"]
    line = reading.WEAK_SYNTHETIC if word in SYNTHETIC else reading.WEAK_OXALIC if word in OXALIC else reading.FAILED
    far = row["counted"] and row["efficacy_p50"] < line.value - FAR_SHORT.value
    return bool(row["efficacy_p95"] < line.value or far)


def causes(rounds: pd.DataFrame, efficacy: pd.DataFrame, usual: Usual) -> pd.DataFrame:
    """Ranked likely causes of every apiary's weak kills (`of` = kill).

    A kill that no count looked at is named only when the records show a cause: the usual kill alone accuses nobody.
    """
    rows: list[list[Any]] = []
    for one in efficacy[efficacy["scope"] == "apiary"].to_dict("records"):
        mine = rounds[(rounds["apiary"] == one["apiary"]) & (rounds["treatment_no"] == one["treatment_no"])]
        found = sorted(_found(one, mine, usual), key=lambda c: (-c.weight, c.cause)) if weak(one) else []
        if weak(one) and (found or one["counted"]):
            rows += [
                [one["apiary"], "kill", one["treatment"], rank, *cause[1:], one["treatment_no"]]
                for rank, cause in enumerate(found or [NOTHING_RECORDED], start=1)
            ]
    return pd.DataFrame(rows, columns=COLUMNS)


NOTHING_RECORDED = Cause(
    0.0,
    "not recorded",
    "seal, dose, air and wind of these rounds were not written down or were good",
    "write down seal and air at the next round and read a tray after it",
)


def _found(one: Any, mine: pd.DataFrame, usual: Usual) -> list[Cause]:
    word = str(mine["treatment"].iloc[0])
    found = [_part_done(mine), _stopped(mine)]
    if word in OXALIC:
        found += [_seal(mine), _brood(mine, usual), _dose(mine), _interval(mine, usual), _wind(mine), _slow(mine)]
    if word == "oxalic sublimation":
        found.append(_cold(mine))
    if word in SYNTHETIC:
        found.append(_resistance(word, one))
    return [cause for cause in found if cause is not None]


def _seal(mine: pd.DataFrame) -> Cause | None:
    poor, fair = int((mine["seal"] == "poor").sum()), int((mine["seal"] == "fair").sum())
    leaking = mine["wrong"].str.contains("seal").sum()
    if not poor + fair + leaking:
        return None
    said = [f"{word} at {n}" for word, n in (("poor", poor), ("fair", fair)) if n]
    what = f"seal {' and '.join(said)} of {_rounds(mine)}" if said else "the seal went wrong"
    return Cause(
        3.0 * max(poor, leaking) / len(mine) + fair / len(mine),
        "poor seal",
        what,
        "foam or tray that fits; look for vapour leaking out",
    )


def _rounds(mine: pd.DataFrame) -> str:
    return "1 round" if len(mine) == 1 else f"{len(mine)} rounds"


def _brood(mine: pd.DataFrame, usual: Usual) -> Cause | None:
    shares = [float(usual.in_brood[usual.index(day.date())]) for day in mine["date"]]
    share = 100 * sum(shares) / len(shares)
    if share < 25:
        return None
    what = f"about {share:.0f} % of the mites sit in capped brood at that date in a usual year"
    return Cause(
        2.5 * share / 100 / max(len(mine) / 3, 1.0) ** 0.5,
        "brood present",
        what,
        "crumbs of cappings on the tray; a round once brood has ended",
    )


def _dose(mine: pd.DataFrame) -> Cause | None:
    known = mine["dose_g"].dropna()
    if known.empty or known.min() >= 1.0:
        return None
    return Cause(2.0, "dose low", f"{known.min():.2g} g of crystals a hive", "weigh a spoonful; keep to the label")


def _interval(mine: pd.DataFrame, usual: Usual) -> Cause | None:
    gaps = mine["date"].diff().dt.days.dropna()
    full = float(usual.in_brood[usual.index(mine["date"].iloc[0].date())]) > 0.5
    if len(mine) == 1 and full:
        return Cause(
            1.5,
            "single round",
            "one round in brood reaches only the mites on bees",
            "a series of rounds, if the label allows",
        )
    if gaps.empty or gaps.max() <= 8:
        return None
    return Cause(
        1.0 + gaps.max() / 16,
        "late round",
        f"{gaps.max():.0f} days between two rounds",
        "rounds 5 to 7 days apart while brood opens",
    )


def _wind(mine: pd.DataFrame) -> Cause | None:
    windy = int(mine["wind"].isin(["breezy", "windy"]).sum() + (mine["wrong"].str.contains("wind")).sum())
    if not windy:
        return None
    return Cause(1.0, "wind", f"wind at {windy} of {_rounds(mine)}", "a calm hour; close the mesh floor")


def _cold(mine: pd.DataFrame) -> Cause | None:
    air = mine["air_c"].dropna()
    if air.empty or air.min() >= COLD_C:
        return None
    return Cause(0.8, "cold", f"{air.min():.0f} °C at a round", "a milder hour, with bees loosely clustered")


def _slow(mine: pd.DataFrame) -> Cause | None:
    seconds = mine["expel_s"].dropna()
    slow = int(mine["wrong"].str.contains("slow").sum())
    if not slow and (seconds.empty or seconds.max() <= 30):
        return None
    what = f"{seconds.max():.0f} s to expel a dose" if len(seconds) else "vapour came slowly"
    return Cause(1.2, "slow vapour", what, "supply and machine: see the gear checks")


def _part_done(mine: pd.DataFrame) -> Cause | None:
    part = (mine["done"] / mine["standing"]).min()
    if pd.isna(part) or part >= 0.95:
        return None
    return Cause(
        2.0 * (1 - part),
        "hives missed",
        f"{100 * part:.0f} % of the hives were done at one round",
        "which hives were left out",
    )


def _stopped(mine: pd.DataFrame) -> Cause | None:
    words = sorted({w for cell in mine["wrong"] for w in cell.split(";") if w.strip() in ("power", "ran out", "time")})
    if not words:
        return None
    return Cause(
        0.9,
        "round cut short",
        f"written down as wrong: {', '.join(words)}",
        "charge, doses and hours for the whole apiary",
    )


def _resistance(word: str, one: Any) -> Cause | None:
    if word == "pyrethroid strips":
        return Cause(1.5, "resistant mites", "resistance to pyrethroids is assumed until tested", "a resistance test")
    if not one["counted"] or one["efficacy_p95"] >= reading.FAILED.value:
        return None
    what = f"counts put the kill below {one['efficacy_p95']:.0f} %"
    return Cause(1.2, "resistant mites possible", what, "a count right before and 14 days after; a resistance test")

"""Programmes that could be run at an apiary: main treatment, autumn series, winter round, and what needs no medicine.

Medicines are those whose label was read, and what was done last season. What a label, the warmth, the kit or the user
rules out is not left out in silence: it is weighed and carries the reason why it may not be chosen.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import pandas as pd

from kit.constants import plan
from kit.constants.law import ONLY_AUTHORISED
from kit.constants.treatment_words import LAYING_STOPS, OXALIC, STAYS_DAYS, SUBLIMATION
from kit.plan.ahead import Ahead
from kit.plan.labels import Read, authorised_for, needs_label, reader
from kit.plan.programme.allowed import under_labels
from kit.plan.programme.programmes import counted, trade_gaps, usual_doses, usual_products
from kit.plan.programme.warmth import highs, warm_for
from kit.plan.programme.wishes import AFTER_CAGING, IN_SPLITS, KNOWN, Wanted
from kit.plan.sites import Site
from kit.season.splits import SPLIT

if TYPE_CHECKING:
    from kit.plan.solver.problem import Floats
    from kit.records.records import Records

DID, ELSEWHERE, TRADE = "what you did", "as at your other apiaries", "trade practice"
SLOW_MAINS = ("amitraz strips", "thymol", "formic acid")
"""Main treatments that may be offered; pyrethroid strips only where they were used, for resistance is assumed."""
AMONG_BROOD = "a colony full of brood shelters most of its mites from it"
NOT_YET = "not among what you have done; name it in plan_may_use and the plan may choose it"
NOT_WANTED = "plan_may_use leaves it out"
ON_PRESCRIPTION = "only on a vet's prescription: name it in plan_may_use once you have one"
AUTHORISED_UNKNOWN = "its entry in labels does not say whether it is authorised here: write yes, no or vet"


class Candidate(NamedTuple):
    """A programme of one apiary.

    Parameters
    ----------
    name : str
        In short.
    wishes : tuple of Wanted
        Its treatments in the order of the year.
    why_not : str
        '' or why it may not be chosen.
    did : bool
        Whether it is what was done last season, or stands for it.
    """

    name: str
    wishes: tuple[Wanted, ...]
    why_not: str = ""
    did: bool = False


@dataclass(frozen=True)
class Palette:
    """What the programmes of an operation are made of.

    Parameters
    ----------
    read : callable
        The label of a treatment and product.
    used : frozenset of str
        Treatment words of last season.
    may_use : frozenset of str or None
        Words of the setting; None when it names none.
    oxalic : str
        The oxalic word offered, '' when its label was not read.
    doses, products : mapping
        By word, as recorded.
    high : array, shape (366,)
        Mean highs of the year [°C].
    ahead : Ahead
        The season planned.
    law : str
        The jurisdiction of the settings.
    """

    read: Read
    used: frozenset[str]
    may_use: frozenset[str] | None
    oxalic: str
    doses: Mapping[str, float]
    products: Mapping[str, str]
    high: Floats
    ahead: Ahead
    law: str = ""

    def wish(self, word: str, window: str, rounds: int, gaps: tuple[int, int], start: date | None = None) -> Wanted:
        """A treatment at no apiary yet."""
        known = word in self.used
        return Wanted(
            "", word, window, self.products.get(word, ""), rounds, gaps,
            "as last season elsewhere" if known else "trade practice", "recorded" if known else "common practice",
            dose_g=self.doses.get(word), last_start=start,
        )  # fmt: skip

    def offers(self, word: str) -> bool:
        """Whether the word may be planned anew: its label was read and does not say that it is no medicine."""
        if not needs_label(word):
            return True
        label = self.read(word, self.products.get(word, ""))
        rounds_known = label is not None and (word not in OXALIC or label.max_rounds is not None)
        return label is not None and label.authorised != "no" and rounds_known

    def why_not(self, wishes: Sequence[Wanted]) -> str:
        """Why a programme may not be chosen, '' when it may."""
        words = {wish.word for wish in wishes}
        unlicensed = [wish for wish in wishes if wish.label is not None and wish.label.authorised == "no"]
        if unlicensed:
            return f"{unlicensed[0].product} is not an authorised medicine here: write another product into labels"
        if self.may_use is not None and not self.may_use.issuperset(words):
            return NOT_WANTED
        asked = self.may_use or frozenset()
        if any(not needs_label(word) and word not in self.used | asked for word in words):
            return NOT_YET
        unlawful = next((why for wish in wishes if (why := self._by_law(wish, asked))), "")
        if unlawful:
            return unlawful
        cold = [wish for wish in wishes if wish.warm is not None and wish.warm.never]
        if cold:
            return too_cold(cold[0])
        return AMONG_BROOD if _among_brood(wishes) else ""

    @property
    def may_split(self) -> bool:
        """Whether the user allows splits to be made for the mites' sake."""
        return self.may_use is not None and SPLIT in self.may_use

    def _by_law(self, wish: Wanted, asked: frozenset[str]) -> str:
        """Why a medicine not used last season may not be given anew, '' when it may."""
        if wish.label is None or wish.word in self.used:
            return ""
        if wish.label.authorised == "vet" and wish.word not in asked:
            return ON_PRESCRIPTION
        return AUTHORISED_UNKNOWN if wish.label.authorised == "" and self.law in ONLY_AUTHORISED else ""

    def warmed(self, wish: Wanted) -> Wanted:
        """The wish with the days on which it is warm enough for it."""
        return replace(wish, warm=warm_for(wish.word, wish.label, wish.gaps[0], self.ahead, self.high))


def palette_of(records: Records, rounds: pd.DataFrame, ahead: Ahead) -> Palette:
    """What the records allow programmes to be made of. `rounds` is the review's table."""
    used = frozenset(str(word) for word in rounds["treatment"].unique()) & frozenset(KNOWN)
    read = reader(records.tables["labels"])
    products = {word: authorised_for(read, word, name) for word, name in usual_products(rounds).items()}
    bare = Palette(
        read, used, may_use(records.settings.plan_may_use)[0], "", usual_doses(rounds), products, highs(records),
        ahead, records.settings.jurisdiction,
    )  # fmt: skip
    return replace(bare, oxalic=_oxalic(bare, records, rounds))


MAY_NAME = (*KNOWN, SPLIT)
"""Words that the setting may hold."""


def may_use(text: str) -> tuple[frozenset[str] | None, list[str]]:
    """The words of the setting `plan_may_use`, None when it names none, and what in it is no treatment.

    Examples
    --------
    >>> words, unknown = may_use("amitraz strips; Queen caging; smoke")
    >>> sorted(words), unknown
    (['amitraz strips', 'queen caging'], ['smoke'])
    >>> may_use("")
    (None, [])
    """
    named = [part.strip().casefold() for part in re.split(r"[;,]", text) if part.strip()]
    words = frozenset(named) & frozenset(MAY_NAME)
    return (words or None), [part for part in named if part not in MAY_NAME]


def unread_words(text: str) -> list[str]:
    """A sentence on what in the setting `plan_may_use` is no treatment; none when all of it is.

    Examples
    --------
    >>> unread_words("thymol; smoke")[0][:72]
    'plan_may_use in settings holds smoke, which is no treatment the plan kno'
    """
    named, unread = may_use(text)
    if not unread:
        return []
    rest = "the plan goes by the others" if named else "the plan goes on as if it were empty"
    return [
        f"plan_may_use in settings holds {', '.join(unread)}, which is no treatment the plan knows: {rest}; "
        f"write any of {', '.join(MAY_NAME)}, parted by semicolons."
    ]


def _oxalic(bare: Palette, records: Records, rounds: pd.DataFrame) -> str:
    """The oxalic word most rounds used; else sublimation where there is a machine or no gear is recorded."""
    given = rounds[rounds["treatment"].isin(OXALIC)]["treatment"]
    kinds = set(records.tables["gear"]["kind"])
    usual = SUBLIMATION if "sublimator" in kinds or not kinds else "oxalic trickle"
    word = str(given.mode().iloc[0]) if len(given) else usual
    return word if bare.offers(word) else ""


def candidates_at(site: Site, base: Sequence[Wanted], palette: Palette) -> list[Candidate]:
    """Every programme weighed at an apiary, `base` (last season's or what stands for it) first, each kind once."""
    found = [_base(base, palette)]
    waits = any(wish.condition for wish in base)
    for parts in [*_combinations(palette, waits=waits), *_in_splits(found[0].wishes, site, palette, waits=waits)]:
        wishes = _here(parts, site, palette)
        if wishes is not None:
            why = "the label that last season's rounds need is unread" if waits else _why_not(wishes, site, palette)
            found.append(Candidate(named(wishes), tuple(wishes), why))
    kinds: dict[tuple[tuple[str, str, int], ...], Candidate] = {}
    for one in found:
        kinds.setdefault(tuple((t.word, t.window, t.rounds) for t in one.wishes), one)
    return list(kinds.values())


def _base(base: Sequence[Wanted], palette: Palette) -> Candidate:
    wishes = tuple(palette.warmed(wish) for wish in base)
    bases = {wish.basis for wish in base if wish.basis != IN_SPLITS}
    name = DID if bases == {"as last season"} else TRADE if bases == {TRADE} else ELSEWHERE
    return Candidate(name, wishes, "" if any(w.condition for w in base) else palette.why_not(wishes), did=True)


def _here(parts: Sequence[Wanted], site: Site, palette: Palette) -> list[Wanted] | None:
    """The parts at an apiary; None where a label cuts into them, for the lesser programme is weighed by itself."""
    kept, cuts = under_labels(counted([replace(part, apiary=site.apiary) for part in parts]), palette.read)
    short = any("rounds wanted" in cut.what or "no brood" in cut.what for cut in cuts)
    return None if short else [palette.warmed(_in_time(wish, site, palette.ahead)) for wish in kept]


def _in_time(wish: Wanted, site: Site, ahead: Ahead) -> Wanted:
    """The oxalic round after a caged queen, on the day she is let out."""
    if wish.window != "autumn" or wish.basis != AFTER_CAGING:
        return wish
    out = max(site.off.day, ahead.treat_by - timedelta(days=14))
    return replace(wish, last_start=out.replace(year=out.year - 1))


def _combinations(palette: Palette, *, waits: bool) -> list[list[Wanted]]:
    """Main × autumn series × winter round, and what needs no medicine beside the best of them."""
    nothing: list[Wanted] = []
    mains = [nothing] + [[_slow(palette, word)] for word in SLOW_MAINS if palette.offers(word)]
    if waits or not palette.oxalic:
        return mains
    series = [nothing] + [
        [palette.wish(palette.oxalic, "autumn", rounds, trade_gaps())] for rounds in range(2, SERIES_MOST + 1)
    ]
    winters = [nothing, [palette.wish(palette.oxalic, "winter", 1, trade_gaps())]]
    found = [[*main, *autumn, *winter] for main in mains for autumn in series for winter in winters]
    cut, caged = _drone_brood(palette), _caged(palette)
    found += [[*cut, *main, *winters[1]] for main in mains]
    return found + [[*caged, *winter] for winter in winters]


def _in_splits(base: Sequence[Wanted], site: Site, palette: Palette, *, waits: bool) -> list[list[Wanted]]:
    """One round in the parts split off while they have no capped brood, beside last season's and before main × winter.

    None where last season had it; beside last season's alone where hives are not split anyway and nobody asked.
    """
    had = any(wish.basis == IN_SPLITS for wish in base)
    if waits or had or not palette.oxalic or site.splits is None:
        return []
    dose = palette.wish(palette.oxalic, "spring", 1, trade_gaps())
    parts = [replace(dose, basis=IN_SPLITS, hives=site.splits.hives(site.hives))]
    if not (site.splits.anyway or palette.may_split):
        return [parts, [*parts, *base]]
    mains: list[list[Wanted]] = [[]] + [[_slow(palette, word)] for word in SLOW_MAINS if palette.offers(word)]
    winter = palette.wish(palette.oxalic, "winter", 1, trade_gaps())
    return [[*parts, *main, *rest] for main in mains for rest in ([], [winter])] + [[*parts, *base]]


def _why_not(wishes: Sequence[Wanted], site: Site, palette: Palette) -> str:
    """Why a programme may not be chosen there, '' when it may: nobody is made to split hives."""
    asks = any(wish.basis == IN_SPLITS for wish in wishes) and site.splits is not None and not site.splits.anyway
    if asks and not palette.may_split:
        return NOT_YET
    return palette.why_not(wishes)


SERIES_MOST = int(plan.SERIES_ROUNDS.value)


def _slow(palette: Palette, word: str) -> Wanted:
    least, most = (int(days.value) for days in STAYS_DAYS[word])
    return palette.wish(word, "main", 1, (least, most))


def _drone_brood(palette: Palette) -> list[Wanted]:
    """Drone combs cut out twice, before the first drones of each emerge."""
    gaps = int(plan.DRONE_CUT_LEAST_DAYS.value), int(plan.DRONE_CUT_MOST_DAYS.value)
    return [palette.wish("drone brood removal", "spring", 2, gaps, date(palette.ahead.start.year - 1, 5, 15))]


def _caged(palette: Palette) -> list[Wanted]:
    """A queen caged through one brood cycle, and one oxalic round when nothing is capped."""
    word = next((w for w in sorted(LAYING_STOPS) if w in palette.used), "queen caging")
    gaps = tuple(int(days.value) for days in STAYS_DAYS[word])
    dose = palette.wish(palette.oxalic, "autumn", 1, trade_gaps())
    return [palette.wish(word, "main", 1, (gaps[0], gaps[1])), replace(dose, basis=AFTER_CAGING)]


def too_cold(wish: Wanted) -> str:
    """That no stretch of days is inside the range of a treatment."""
    least, most = (0.0, 0.0) if wish.warm is None else (wish.warm.least_c, wish.warm.most_c)
    return f"no {wish.gaps[0]} days on end from July on lie inside {least:g} to {most:g} °C"


def _among_brood(wishes: Sequence[Wanted]) -> bool:
    return any(wish.word in OXALIC and wish.window == "main" for wish in wishes)


def named(wishes: Sequence[Wanted]) -> str:
    """A programme in short.

    Examples
    --------
    >>> named([])
    'nothing'
    """
    return "; ".join(_short(wish) for wish in wishes) or "nothing"


def _short(wish: Wanted) -> str:
    if wish.word in OXALIC and wish.window == "winter" and wish.rounds == 1:
        return "winter round"
    if wish.basis == AFTER_CAGING:
        return f"{wish.word} as she is let out"
    if wish.basis == IN_SPLITS:
        return "the splits' window"
    if wish.word in OXALIC and wish.window == "autumn":
        return f"{wish.rounds} autumn round{'s' * (wish.rounds > 1)}"
    return f"{wish.word} × {wish.rounds}" if wish.rounds > 1 else wish.word


def in_full(wishes: Sequence[Wanted]) -> str:
    """Every treatment with its rounds and its window of the year."""

    def one(t: Wanted) -> str:
        window = "in the parts split off" if t.basis == IN_SPLITS else t.window
        return f"{t.word} × {t.rounds} ({window})" if t.rounds > 1 else f"{t.word} ({window})"

    return ", ".join(one(t) for t in wishes) or "nothing"

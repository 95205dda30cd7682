"""What every page that sends someone to treat must say. The label, the law and licensed practice decide."""

from typing import NamedTuple


class Caution(NamedTuple):
    """One hazard and what to do about it.

    Parameters
    ----------
    hazard : str
        In two or three words.
    advice : str
        One or two plain sentences.
    source : str
        A key of `kit.sources.SOURCES`.
    """

    hazard: str
    advice: str
    source: str


SUBLIMATION: tuple[Caution, ...] = (
    Caution(
        "Acid vapour",
        "Stand upwind and start at the downwind end. Wear a full-face mask that has been fit-tested, with a particle "
        "filter P3 and an acid-gas filter E. Smelling nothing proves nothing, and lungs can protest hours later: "
        "trouble breathing after a visit is a matter for a doctor at once.",
        "en143",
    ),
    Caution(
        "Acid crystals",
        "Harmful if swallowed or on the skin, and they can blind. Gloves, closed sleeves, no food or drink. "
        "In the eyes: "
        "rinse with water for many minutes, then a doctor. Take the water with you.",
        "clp",
    ),
    Caution(
        "Hot metal",
        "The chamber holds more than 200 °C for a long while after it is switched off. It melts polystyrene hives and "
        "sets dry grass alight: never lay it down in either.",
        "common practice",
    ),
    Caution(
        "Electricity in the wet",
        "An inverter gives mains voltage: keep plugs off wet grass, use a residual-current device, and stop in rain.",
        "common practice",
    ),
    Caution(
        "Battery and generator",
        "A charging battery gives off explosive gas; its terminals must not be shorted. Run a generator in "
        "the open air, at "
        "least 6 m from people and downwind: no filter stops carbon monoxide. The vehicle's own battery must "
        "get you home.",
        "common practice",
    ),
    Caution(
        "A sealed hive",
        "Count seals and foams out and back: a hive left sealed is a dead hive.",
        "common practice",
    ),
    Caution(
        "Stop rules",
        "Stop when the wind turns or rises, when rain starts, when the ground gives way, when a filter is due, or when "
        "anyone coughs.",
        "common practice",
    ),
)
"""In the order in which they can hurt."""

DEFERENCE = (
    "The label of your product, the law where you are and licensed practice decide what may be used, how "
    "much, how often and "
    "by whom. Nothing on this page overrules them, and nothing here recommends a dose above your label. "
    "Ask your vet or bee "
    "inspector where they are silent."
)
"""The sentence that stands on every page with doses on it."""

POISON_GB = (
    "In Great Britain oxalic acid above 10 % is a regulated poison: a member of the public needs a "
    "licence to acquire, hold or "
    "use it, and loss or theft is reported within 24 hours. Whether an authorised medicine is exempt: ask."
)
"""Shown where the jurisdiction is Great Britain."""

EXPOSURE_LIMIT = "Oxalic acid in air: 1 mg/m³ over 8 hours, 2 mg/m³ over 15 minutes; 500 mg/m³ endangers life at once."
"""Limits as printed by NIOSH."""


def sublimation_cautions() -> list[str]:
    """Each caution as one paragraph, "Hazard: advice".

    Returns
    -------
    list of str
        In the order of `SUBLIMATION`, the exposure limit last.
    """
    return [f"{caution.hazard}: {caution.advice}" for caution in SUBLIMATION] + [f"Limits: {EXPOSURE_LIMIT}"]


def deference(jurisdiction: str = "") -> str:
    """The sentence that hands the decision to label, law and licensed practice.

    Parameters
    ----------
    jurisdiction : str
        gb / ni / eu / other, as in the sheet `settings`.

    Returns
    -------
    str
        With the poisons law added where it holds.
    """
    return f"{DEFERENCE} {POISON_GB}" if jurisdiction == "gb" else DEFERENCE

"""Inverter, leads and a heater's square law."""

from dataclasses import dataclass, field

from kit.checks import not_negative, positive, within
from kit.constants import supply as k
from kit.errors import ValidityError

COPPER_OHM_PER_KM: dict[float, float] = {
    1.5: k.COPPER_1_5_OHM_PER_KM.value,
    2.5: k.COPPER_2_5_OHM_PER_KM.value,
    4.0: k.COPPER_4_OHM_PER_KM.value,
    6.0: k.COPPER_6_OHM_PER_KM.value,
    10.0: k.COPPER_10_OHM_PER_KM.value,
}
"""Flexible copper at 20 °C by cross-section [mm²]."""


def copper_ohm_per_km(mm2: float) -> float:
    """Resistance of flexible copper at 20 °C.

    Parameters
    ----------
    mm2 : float
        Cross-section [mm²]; a size that is not in the table goes by the area of the nearest one.

    Returns
    -------
    float
        [ohm/km].

    Raises
    ------
    ValidityError
        Outside 0.5 to 120 mm².

    References
    ----------
    iec60228

    Examples
    --------
    >>> round(copper_ohm_per_km(2.5), 2)
    7.98
    """
    within("mm2", mm2, 0.5, 120)
    nearest = min(COPPER_OHM_PER_KM, key=lambda size: abs(size - mm2))
    return COPPER_OHM_PER_KM[nearest] * nearest / mm2


@dataclass(frozen=True)
class Cable:
    """Leads from battery to inverter or pan.

    Parameters
    ----------
    mm2 : float
        Copper cross-section [mm²].
    length_m : float
        Out and back together [m].
    """

    mm2: float = k.CABLE_MM2.value
    length_m: float = k.CABLE_M.value

    def __post_init__(self) -> None:
        not_negative("length_m", self.length_m)
        within("mm2", self.mm2, 0.5, 120)

    @property
    def ohm(self) -> float:
        """Resistance of the whole lead [ohm]."""
        return copper_ohm_per_km(self.mm2) * self.length_m / 1000


@dataclass(frozen=True)
class Inverter:
    """An inverter as its plate says.

    Parameters
    ----------
    watts : float
        Continuous output [W].
    efficiency_pct : float
        Output over input, its own use apart [%].
    idle_w : float
        Its own use while on [W].
    cut_out_v : float
        Input volts at which it switches off [V of a 12 V battery].
    leads : Cable
        From battery to inverter.

    Raises
    ------
    ValidityError
        Output not above zero, efficiency outside 40 to 100, or negative own use.
    """

    watts: float = k.INVERTER_W.value
    efficiency_pct: float = k.INVERTER_EFFICIENCY_PCT.value
    idle_w: float = k.INVERTER_IDLE_W.value
    cut_out_v: float = k.CUT_OUT_V.value
    leads: Cable = field(default_factory=Cable)

    def __post_init__(self) -> None:
        positive("watts", self.watts)
        within("efficiency_pct", self.efficiency_pct, 40, 100)
        not_negative("idle_w", self.idle_w)


def inverter_input_w(output_w: float, inverter: Inverter) -> float:
    """What an inverter takes from its battery.

    .. math:: P_{in} = P_{out} / \\eta + P_{idle}

    Parameters
    ----------
    output_w : float
        At the socket [W].
    inverter : Inverter
        With efficiency and own use.

    Returns
    -------
    float
        [W].

    Raises
    ------
    ValidityError
        When the output is negative or above what it can give.

    Examples
    --------
    >>> round(inverter_input_w(200, Inverter()), 1)
    237.9
    """
    if not_negative("output_w", output_w) > inverter.watts:
        raise ValidityError(f"output_w must be <= {inverter.watts:g}, what the inverter can give: got {output_w:g}")
    return 100 * output_w / inverter.efficiency_pct + inverter.idle_w


def heater_w(rated_w: float, *, volts: float, rated_v: float) -> float:
    r"""Power of a resistance heater off its rated volts.

    .. math:: P = P_0 (V / V_0)^2

    Parameters
    ----------
    rated_w : float
        At `rated_v` [W].
    volts, rated_v : float
        At the heater, and what it is made for [V].

    Returns
    -------
    float
        [W].

    Examples
    --------
    >>> round(heater_w(100, volts=90, rated_v=100))
    81
    """
    positive("rated_w", rated_w)
    return rated_w * (not_negative("volts", volts) / positive("rated_v", rated_v)) ** 2

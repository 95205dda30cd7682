"""Power for a sublimator: battery and inverter, the vehicle, a generator, the mains, a direct 12 V lead."""

from dataclasses import dataclass, field

from kit.calc.battery import Battery, cold_divisor, peukert_hours
from kit.calc.doses import ChargesNeeded, DosesPerCharge, charges_needed, doses_per_charge, doses_sensitivity
from kit.calc.inverter import Cable, Inverter, copper_ohm_per_km, heater_w, inverter_input_w
from kit.calc.sublimator import Sublimator
from kit.calc.volts import cell_volts, charge_left_pct, rest_volts
from kit.checks import positive, within

__all__ = [
    "Battery",
    "Cable",
    "ChargesNeeded",
    "Direct",
    "DosesPerCharge",
    "Generator",
    "Inverter",
    "InverterSupply",
    "Mains",
    "Sublimator",
    "Supply",
    "cell_volts",
    "charge_left_pct",
    "charges_needed",
    "cold_divisor",
    "copper_ohm_per_km",
    "doses_per_charge",
    "doses_sensitivity",
    "heater_w",
    "inverter_input_w",
    "peukert_hours",
    "power_at_heater_w",
    "rest_volts",
    "slows_when_low",
]


@dataclass(frozen=True)
class Mains:
    """A socket."""

    volts_pct: float = 100.0


@dataclass(frozen=True)
class Generator:
    """A generator as its plate says, and the volts it really holds under the heater.

    Parameters
    ----------
    watts : float
        Continuous [W].
    volts_pct : float
        Of the nominal volts, under load; a weak one sags [%].
    """

    watts: float = 1000.0
    volts_pct: float = 100.0

    def __post_init__(self) -> None:
        positive("watts", self.watts)
        within("volts_pct", self.volts_pct, 1, 130)


@dataclass(frozen=True)
class InverterSupply:
    """Battery, leads and inverter: full power at the heater until the inverter cuts out."""

    battery: Battery = field(default_factory=Battery)
    inverter: Inverter = field(default_factory=Inverter)


@dataclass(frozen=True)
class Direct:
    """A battery with leads straight to a pan of the same volts."""

    battery: Battery = field(default_factory=Battery)
    leads: Cable = field(default_factory=Cable)


Supply = Mains | Generator | InverterSupply | Direct


def slows_when_low(supply: Supply) -> bool:
    """Whether low volts reach the heater at all: not behind an inverter, which holds its output until it cuts out.

    Parameters
    ----------
    supply : Supply
        What feeds it.

    Returns
    -------
    bool
        True for direct leads, a generator and the mains.
    """
    return not isinstance(supply, InverterSupply)


def power_at_heater_w(supply: Supply, sublimator: Sublimator, *, supply_v: float = 12.0) -> float:
    """What the heater gets, by the square law of a resistance.

    Parameters
    ----------
    supply : Supply
        What feeds it.
    sublimator : Sublimator
        With `rated_v` near the supply's.
    supply_v : float
        Battery volts under load; used by a direct lead only [V].

    Returns
    -------
    float
        [W]; 0 when the inverter is too small and trips.

    Examples
    --------
    >>> round(power_at_heater_w(Generator(volts_pct=90), Sublimator()))
    162
    """
    match supply:
        case InverterSupply(_, inverter):
            return sublimator.watts if sublimator.watts <= inverter.watts else 0.0
        case Direct(_, leads):
            resistance = sublimator.rated_v**2 / sublimator.watts
            at_heater_v = supply_v * resistance / (resistance + leads.ohm)
            return heater_w(sublimator.watts, volts=at_heater_v, rated_v=sublimator.rated_v)
        case Generator(watts, volts_pct):
            return min(watts, heater_w(sublimator.watts, volts=volts_pct, rated_v=100.0))
        case Mains(volts_pct):
            return heater_w(sublimator.watts, volts=volts_pct, rated_v=100.0)

"""Oxalic acid and its crystals: masses, heats and temperatures."""

from kit.constants.constant import Constant

OA_MOLAR_MASS_G_PER_MOL = Constant(
    90.035, "g/mol", 90.03, 90.04, "handbook chemistry", "defined", "read", "anhydrous acid, from atomic weights"
)
OAD_MOLAR_MASS_G_PER_MOL = Constant(
    126.065, "g/mol", 126.06, 126.07, "handbook chemistry", "defined", "read", "crystals with two waters"
)
OA_PER_OAD = Constant(
    90.035 / 126.065, "1", 0.7141, 0.7143, "derived", "derived", "read", "acid in the crystals, by mass: 0.71419"
)
POWDER_STRENGTH_MG_PER_G = Constant(
    886.0, "mg/g", 880.0, 892.0, "powder_spc2015", "label", "read", "crystals in one authorised powder; others differ"
)

REFERENCE_C = Constant(
    25.0, "°C", 25.0, 25.0, "handbook chemistry", "defined", "read", "where handbook enthalpies are given"
)
CRYSTALS_HEAT_J_PER_MOL_K = Constant(
    181.0, "J/(mol K)", 165.0, 210.0, "handbook chemistry", "measured", "memory", "heat capacity of the crystals"
)
DEHYDRATION_KJ_PER_MOL = Constant(
    26.34, "kJ/mol", 25.5, 27.2, "apelblat1986", "measured", "read", "crystals to acid and two liquid waters"
)
WATER_VAPORISING_KJ_PER_MOL = Constant(
    44.00, "kJ/mol", 43.9, 44.1, "handbook chemistry", "measured", "read", "one mole of water at 25 °C"
)
SUBLIMATION_KJ_PER_MOL = Constant(
    97.9, "kJ/mol", 93.7, 108.5, "webbook", "measured", "read", "anhydrous acid; the range is that of published values"
)
VAPOUR_HEAT_J_PER_MOL_K = Constant(
    159.0,
    "J/(mol K)",
    150.0,
    175.0,
    "handbook chemistry",
    "derived",
    "memory",
    "acid vapour about 92 plus two water vapours of 33.6, between 25 and 157 °C",
)
WATER_LOSS_C = Constant(
    101.0, "°C", 98.0, 104.0, "handbook chemistry", "measured", "second-hand", "crystals lose water; melt at 101.5 °C"
)
SUBLIMES_C = Constant(
    157.0,
    "°C",
    150.0,
    160.0,
    "handbook chemistry",
    "measured",
    "second-hand",
    "sublimes in earnest; begins near 100 °C, fast from 125 °C",
)
BREAKDOWN_C = Constant(
    189.5,
    "°C",
    186.0,
    191.0,
    "handbook chemistry",
    "measured",
    "second-hand",
    "the acid itself breaks down into formic acid, carbon monoxide and dioxide",
)

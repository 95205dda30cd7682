"""Driving between places, as the ground floor reckons it; the season's trips use the same."""

from kit.calc.travel import Place, Roads, Stop, great_circle_km, place_of_grid, roads

__all__ = ["Place", "Roads", "Stop", "great_circle_km", "place_of_grid", "roads"]

"""Balance of salt and water: how much sea salt turns one water into another."""

from __future__ import annotations

from bot.science.density import sea_density_kg_L
from bot.science.salinity import salinity_from_salt, salt_g_kg


def salt_to_raise_g(volume_L: float, from_PSU: float, to_PSU: float, temp_C: float) -> float:
    """Dry sea salt to dissolve in so much water, g; the mixture fills a little more than before.

    volume_L            water before the salt goes in, above 0
    from_PSU, to_PSU    its salinity (0: fresh) and the wanted one, 0 to 60
    temp_C              at which the volume was measured
    Source              balance of mass; density EOS80, absolute salinity TEOS10
    Checked             fixtures/calc/salt_mix.jsonl
    """
    before, after = salt_g_kg(from_PSU), salt_g_kg(to_PSU)
    water_kg = volume_L * sea_density_kg_L(from_PSU, temp_C) * (1 - before / 1000)
    return water_kg * (_per_kg_water(after) - _per_kg_water(before))


def salt_for_finished_g(volume_L: float, from_PSU: float, to_PSU: float, temp_C: float) -> float:
    """Dry sea salt so that the finished water fills volume_L, g; inputs and source as for `salt_to_raise_g`."""
    before, after = salt_g_kg(from_PSU), salt_g_kg(to_PSU)
    water_kg = volume_L * sea_density_kg_L(to_PSU, temp_C) * (1 - after / 1000)
    return water_kg * (_per_kg_water(after) - _per_kg_water(before))


def salinity_after_salt(volume_L: float, from_PSU: float, salt_g: float, temp_C: float) -> float:
    """Practical salinity once so much dry sea salt is dissolved in so much water; inverse of `salt_to_raise_g`."""
    before = salt_g_kg(from_PSU)
    water_kg = volume_L * sea_density_kg_L(from_PSU, temp_C) * (1 - before / 1000)
    in_water = _per_kg_water(before) + salt_g / water_kg
    return salinity_from_salt(1000 * in_water / (1000 + in_water))


def _per_kg_water(salt_in_kg: float) -> float:
    return 1000 * salt_in_kg / (1000 - salt_in_kg)

"""Heat in water: what a degree costs, how long a heater needs, how warm it can get. Plain formulas."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, log

from bot.science.density import sea_density_kg_L

J_PER_KWH = 3.6e6
S_PER_H = 3600.0


@dataclass(frozen=True)
class HeatBalance:
    """A heater in W, what the tank loses per degree above the room in W/K (0: no loss), and the room in degC."""

    power_W: float
    loss_W_K: float = 0.0
    room_C: float = 20.0


def heat_capacity_J_kg_K(temp_C: float, salinity_PSU: float) -> float:
    """Specific heat of fresh or sea water at 1 atm, J/kg/K.

    temp_C        -2 to 40 degC
    salinity_PSU  0 to 42
    Source        Millero_1973
    Checked       fixtures/calc/heating.jsonl, gsw.cp_t_exact within 0.1 %
    """
    t, s = temp_C, salinity_PSU
    fresh = 4217.4 - 3.720283 * t + 0.1412855 * t**2 - 2.654387e-3 * t**3 + 2.093236e-5 * t**4
    a = -7.643575 + 0.1072763 * t - 1.38385e-3 * t**2
    b = 0.1770383 - 4.07718e-3 * t + 5.148e-5 * t**2
    return float(fresh + a * s + b * s**1.5)


def heat_capacity_J_K(volume_L: float, temp_C: float, salinity_PSU: float) -> float:
    """Heat that warms a volume by one degree, J/K: density times specific heat; source EOS80, Millero_1973."""
    return volume_L * sea_density_kg_L(salinity_PSU, temp_C) * heat_capacity_J_kg_K(temp_C, salinity_PSU)


def hours_to_warm(capacity_J_K: float, from_C: float, to_C: float, balance: HeatBalance) -> float:
    """Hours until the water has gone from one temperature to the other; infinite where it never gets there.

    capacity_J_K   of the whole volume, above 0
    balance        heater, loss and room; without a loss the time is energy over power
    Source         energy_balance: C dT/dt = P - UA (T - room)
    Checked        fixtures/calc/heating.jsonl, against a numerical solution
    """
    if balance.loss_W_K == 0:
        return _hours_without_loss(capacity_J_K, to_C - from_C, balance.power_W)
    at_rest = ceiling_C(balance)
    left, start = at_rest - to_C, at_rest - from_C
    if start == 0 or left / start <= 0 or left / start > 1:
        return inf
    return capacity_J_K / balance.loss_W_K * log(start / left) / S_PER_H


def ceiling_C(balance: HeatBalance) -> float:
    """Temperature that the water comes to and keeps, degC; infinite without a loss."""
    return inf if balance.loss_W_K == 0 else balance.room_C + balance.power_W / balance.loss_W_K


def temp_after_C(capacity_J_K: float, from_C: float, hours: float, balance: HeatBalance) -> float:
    """Temperature after so many hours, degC; source as for hours_to_warm."""
    if balance.loss_W_K == 0:
        return from_C + balance.power_W * hours * S_PER_H / capacity_J_K
    at_rest = ceiling_C(balance)
    return at_rest + (from_C - at_rest) * exp(-balance.loss_W_K * hours * S_PER_H / capacity_J_K)


def watts_to_warm(capacity_J_K: float, from_C: float, to_C: float, hours: float, balance: HeatBalance) -> float:
    """Heater power that gets there in so many hours, W, the loss made up for; source as for hours_to_warm."""
    if balance.loss_W_K == 0:
        return capacity_J_K * (to_C - from_C) / (hours * S_PER_H)
    kept = exp(-balance.loss_W_K * hours * S_PER_H / capacity_J_K)
    at_rest = (to_C - from_C * kept) / (1 - kept)
    return balance.loss_W_K * (at_rest - balance.room_C)


def energy_kWh(capacity_J_K: float, rise_K: float) -> float:
    """Heat for a rise of temperature, kWh, without losses; source energy_balance."""
    return capacity_J_K * rise_K / J_PER_KWH


def loss_from_cooling_W_K(capacity_J_K: float, time_constant_h: float) -> float:
    """Heat lost per degree above the room, W/K, from the time constant of a cooling test."""
    return capacity_J_K / (time_constant_h * S_PER_H)


def _hours_without_loss(capacity_J_K: float, rise_K: float, power_W: float) -> float:
    hours = capacity_J_K * rise_K / (power_W * S_PER_H) if power_W > 0 else inf
    return hours if hours >= 0 else inf

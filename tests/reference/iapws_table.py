#!/usr/bin/python3
"""Prints saturation pressures of ordinary water as CSV, from the Debian package python3-iapws.

Water: IAPWS-95 (R6-95). Ice: IAPWS R14-08(2011), sublimation pressure.
"""

from iapws import IAPWS95
from iapws._iapws import _Sublimation_Pressure

print("phase,temperature_degC,pressure_Pa")
for t in range(-50, 1, 2):
    print(f"ice,{t},{_Sublimation_Pressure(t + 273.15) * 1e6:.6f}")
for t in [0.02] + list(range(2, 51, 4)):
    print(f"water,{t},{IAPWS95(T=t + 273.15, x=0).P * 1e6:.6f}")

"""Holds our water, steam and air against other people's programs over more than 1,000 points.

    pip install -r tests/reference/requirements.txt
    python3 tests/reference/water_steam.py

Prints the largest deviation of each quantity and fails above its tolerance. Authorities: iapws
(IAPWS-IF97 region 4), CoolProp (IAPWS-95), fluids (US Standard Atmosphere 1976). Set CARGO to
run another cargo than the one on the path.
"""

import os
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from iapws.iapws97 import _PSat_T, _TSat_P

ATMOSPHERE = 101325.0


def latent_kj_kg(celsius):
    """IAPWS-95: enthalpy of saturated steam less that of saturated water."""
    steam, water = (PropsSI("H", "T", celsius + 273.15, "Q", q, "Water") for q in (1, 0))
    return (steam - water) / 1000


# quantity of the grid: [(authority, function of the input, tolerance, unit)]
CHECKS = {
    "boiling_c_at_hpa": [
        ("iapws IF97", lambda hpa: _TSat_P(hpa / 1e4) - 273.15, 1e-7, "degC"),
        ("CoolProp IAPWS-95", lambda hpa: PropsSI("T", "P", hpa * 100, "Q", 0, "Water") - 273.15, 5e-3, "degC"),
    ],
    "saturation_pa_at_c": [
        ("iapws IF97", lambda c: 1e6 * _PSat_T(c + 273.15), 1e-3, "Pa"),
        ("CoolProp IAPWS-95", lambda c: PropsSI("P", "T", c + 273.15, "Q", 0, "Water"), 60, "Pa"),
    ],
    "water_kg_m3_at_c": [
        ("CoolProp IAPWS-95", lambda c: PropsSI("D", "T", c + 273.15, "P", ATMOSPHERE, "Water"), 0.01, "kg/m3"),
    ],
    "latent_kj_kg_at_c": [("CoolProp IAPWS-95", latent_kj_kg, 0.06, "kJ/kg")],
    # Geometric height is taken for geopotential: 30 Pa at 5 km, so the tolerance is 40.
    "standard_pa_at_m": [("fluids US 1976", lambda m: ATMOSPHERE_1976(m).P, 40, "Pa")],
}


def grid():
    """Our figures: quantity -> [(input, value)]."""
    root = Path(__file__).resolve().parents[2]
    command = [os.environ.get("CARGO", "cargo"), "test", "--quiet", "--test", "checks", "grid::", "--", "--ignored", "--nocapture"]
    run = subprocess.run(command, cwd=root, capture_output=True, text=True)
    if run.returncode != 0:
        sys.exit(f"the grid was not printed:\n{run.stdout}\n{run.stderr}")
    found = defaultdict(list)
    for line in run.stdout.splitlines():
        # The test harness may print a mark on the first line, in front of ours.
        _, mark, rest = line.partition("grid,")
        if mark:
            quantity, at, value = rest.split(",")
            found[quantity].append((float(at), float(value)))
    return found


def main():
    found = grid()
    count = sum(len(points) for points in found.values())
    if count < 1000 or set(found) != set(CHECKS):
        sys.exit(f"the grid has {count} points of {sorted(found)}")
    bad = False
    for quantity, points in sorted(found.items()):
        for authority, reference, tolerance, unit in CHECKS[quantity]:
            worst, at = max((abs(value - reference(at)), at) for at, value in points)
            verdict = "ok" if worst <= tolerance else "TOO FAR"
            bad |= worst > tolerance
            print(f"{quantity:20} {len(points):4} points, {authority}: {worst:.2e} {unit} at {at:g} (within {tolerance:g}) {verdict}")
    print(f"{count} points")
    sys.exit(bad)


if __name__ == "__main__":
    main()

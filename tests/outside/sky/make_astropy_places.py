"""Write astropy_places.csv: apparent geocentric places of the Sun, Moon and planets by Astropy with the kernel DE421.

    python tests/outside/sky/make_astropy_places.py

Astropy 8.0.2 with pyerfa 2.0.1.5 and jplephem 2.24; de421.bsp from skyfield-data 7.0.0. `get_body` gives the GCRS place
(light time, deflection by the Sun, aberration; ERFA), TETE turns it to the true equator and equinox of date (IAU
2006/2000A). Columns: body, TT as Julian date in two parts, right ascension and declination in degrees, distance in au.
The rows are keyed by TT, so they do not depend on any table of the Earth's rotation.
"""

from __future__ import annotations

from pathlib import Path

import skyfield_data
from astropy.coordinates import TETE, get_body, solar_system_ephemeris
from astropy.time import Time
from astropy.utils import iers

HERE = Path(__file__).parent
# 0h TT of days from 1905 to 2050, chosen without thought, and a part of the day.
INSTANTS = [
    (2416880.5, 0.137),
    (2418541.5, 0.903),
    (2420233.5, 0.411),
    (2422619.5, 0.250),
    (2425347.5, 0.772),
    (2428102.5, 0.018),
    (2431333.5, 0.611),
    (2434210.5, 0.499),
    (2436934.5, 0.333),
    (2439126.5, 0.945),
    (2441317.5, 0.001),
    (2443871.5, 0.702),
    (2446895.5, 0.806),
    (2448908.5, 0.000),
    (2451545.0, 0.000),
    (2454399.5, 0.660),
    (2457258.5, 0.088),
    (2459580.5, 0.520),
    (2461114.5, 0.917),
    (2464703.5, 0.290),
    (2467241.5, 0.845),
    (2469807.5, 0.199),
]


def main() -> None:
    """Compute and write."""
    iers.conf.auto_download = False
    iers.conf.auto_max_age = None
    iers.conf.iers_degraded_accuracy = "ignore"
    solar_system_ephemeris.set(str(Path(skyfield_data.__file__).parent / "data" / "de421.bsp"))
    lines = ["body,tt_whole,tt_fraction,ra_deg,dec_deg,distance_au"]
    for name in ("Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn"):
        for whole, fraction in INSTANTS:
            time = Time(whole, fraction, format="jd", scale="tt")
            # TDB - TT is within 0.002 s; given here so that no table of UT1 is asked for.
            time.delta_tdb_tt = 0.0
            place = get_body(name.lower(), time).transform_to(TETE(obstime=time))
            lines.append(f"{name},{whole},{fraction},{place.ra.deg:.9f},{place.dec.deg:.9f},{place.distance.au:.12f}")
    (HERE / "astropy_places.csv").write_text("\n".join(lines) + "\n", encoding="ascii")


if __name__ == "__main__":
    main()

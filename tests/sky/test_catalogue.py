"""The bodies and their names."""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.sky import catalogue
from nightleg.sky.places import gha_aries_deg, places
from nightleg.units.errors import EntryError

# SHA and declination for 2000, to a tenth of a degree, as the Nautical Almanac's list of selected stars has them (from
# memory).
SHA_AND_DEC = {
    "Acamar": (315.4, -40.3),
    "Achernar": (335.6, -57.2),
    "Acrux": (173.3, -63.1),
    "Adhara": (255.3, -29.0),
    "Al Na'ir": (27.9, -46.9),
    "Aldebaran": (291.0, 16.5),
    "Alioth": (166.5, 55.9),
    "Alkaid": (153.1, 49.3),
    "Alnilam": (275.9, -1.2),
    "Alphard": (218.1, -8.7),
    "Alphecca": (126.3, 26.7),
    "Alpheratz": (357.9, 29.1),
    "Altair": (62.3, 8.9),
    "Ankaa": (353.4, -42.3),
    "Antares": (112.6, -26.4),
    "Arcturus": (146.1, 19.2),
    "Atria": (107.7, -69.0),
    "Avior": (234.4, -59.5),
    "Bellatrix": (278.7, 6.3),
    "Betelgeuse": (271.2, 7.4),
    "Canopus": (264.0, -52.7),
    "Capella": (280.8, 46.0),
    "Deneb": (49.6, 45.3),
    "Denebola": (182.7, 14.6),
    "Diphda": (349.1, -18.0),
    "Dubhe": (194.0, 61.7),
    "Elnath": (278.4, 28.6),
    "Eltanin": (90.8, 51.5),
    "Enif": (33.9, 9.9),
    "Fomalhaut": (15.5, -29.6),
    "Gacrux": (172.1, -57.1),
    "Gienah": (176.0, -17.5),
    "Hadar": (149.0, -60.4),
    "Hamal": (328.1, 23.5),
    "Kaus Australis": (83.9, -34.4),
    "Kochab": (137.3, 74.2),
    "Markab": (13.8, 15.2),
    "Menkar": (314.4, 4.1),
    "Menkent": (148.3, -36.4),
    "Miaplacidus": (221.7, -69.7),
    "Mirfak": (308.9, 49.9),
    "Nunki": (76.1, -26.3),
    "Peacock": (53.5, -56.7),
    "Polaris": (322.1, 89.3),
    "Pollux": (243.6, 28.0),
    "Procyon": (245.1, 5.2),
    "Rasalhague": (96.2, 12.6),
    "Regulus": (207.9, 12.0),
    "Rigel": (281.3, -8.2),
    "Rigil Kentaurus": (140.0, -60.8),
    "Sabik": (102.4, -15.7),
    "Schedar": (349.8, 56.5),
    "Shaula": (96.5, -37.1),
    "Sirius": (258.7, -16.7),
    "Spica": (158.7, -11.2),
    "Suhail": (223.0, -43.4),
    "Vega": (80.7, 38.8),
    "Zubenelgenubi": (137.2, -16.0),
}


def test_all_the_bodies() -> None:
    assert catalogue.SOLAR_SYSTEM == ("Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn")
    assert set(catalogue.NAVIGATIONAL_STARS) == set(SHA_AND_DEC)
    assert len(catalogue.BODIES) == len(set(catalogue.BODIES)) == 64
    assert len({catalogue.star(name).hip for name in catalogue.NAVIGATIONAL_STARS}) == 58


@pytest.mark.parametrize("name", SHA_AND_DEC)
def test_no_star_is_mixed_up(name: str) -> None:
    found = places(name, 0.0)
    sha_deg, dec_deg = SHA_AND_DEC[name]
    across_deg = (float(found.gha_deg - gha_aries_deg(0.0)) - sha_deg + 180.0) % 360.0 - 180.0
    # 0.2 degrees: the list's rounding, and what memory may have lost; neighbours of like brightness stand further.
    assert abs(across_deg) * np.cos(np.deg2rad(dec_deg)) < 0.2
    assert abs(float(found.dec_deg) - dec_deg) < 0.2


@pytest.mark.parametrize(
    ("name", "magnitude"),
    [
        # Visual magnitudes of the Hipparcos main catalogue (from memory); those of variables to their range.
        ("Sirius", -1.44),
        ("Canopus", -0.62),
        ("Arcturus", -0.05),
        ("Vega", 0.03),
        ("Capella", 0.08),
        ("Rigel", 0.18),
        ("Achernar", 0.45),
        ("Altair", 0.76),
        ("Aldebaran", 0.87),
        ("Spica", 0.98),
        ("Fomalhaut", 1.17),
        ("Deneb", 1.25),
        ("Polaris", 1.97),
        ("Acamar", 2.88),
    ],
)
def test_magnitudes_derived_from_hp_and_colour(name: str, magnitude: float) -> None:
    assert catalogue.star(name).magnitude == pytest.approx(magnitude, abs=0.06)  # accuracy of the transformation


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("vega", "Vega"),
        ("  RIGIL  kentaurus ", "Rigil Kentaurus"),
        ("Rigil Kent.", "Rigil Kentaurus"),
        ("alnair", "Al Na'ir"),
        ("Al Na’ir", "Al Na'ir"),
        ("Kaus-Australis", "Kaus Australis"),
        ("moon", "Moon"),
        ("hip 91262", "Vega"),
        ("HIP65378", "HIP 65378"),
    ],
)
def test_find_body(text: str, name: str) -> None:
    assert catalogue.find_body(text) == name


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("Begulus", "Regulus"),
        ("Polarsi", "Polaris"),
        ("Kapella", "Capella"),
        ("", "Sun"),
        ("HIP 3", "65378"),
        ("Rig", "Rigel"),
    ],
)
def test_unknown_body_names_the_nearest(text: str, named: str) -> None:
    with pytest.raises(EntryError, match=named) as caught:
        catalogue.find_body(text)
    assert f'"{text}"' in str(caught.value)


@pytest.mark.parametrize(
    "text", ["HIP", "HIP 0", "HIP -5", "HIP ²", "HIP " + "9" * 5000, "x" * 5000, "\x00\x1b[2J", "Pluto"]
)
def test_nonsense_is_refused_shortly(text: str) -> None:
    with pytest.raises(EntryError) as caught:
        catalogue.find_body(text)
    assert len(str(caught.value)) < 300
    assert str(caught.value).isprintable()


def test_every_name_finds_itself() -> None:
    for name in catalogue.BODIES + catalogue.other_stars():
        assert catalogue.find_body(name) == name
        assert catalogue.is_star(name) == (name not in catalogue.SOLAR_SYSTEM)


def test_other_stars() -> None:
    others = [catalogue.star(name) for name in catalogue.other_stars()]
    # Some 1 600 stars are brighter than 5.0 (Bright Star Catalogue, from memory: 1 602 to V = 5.0).
    assert 1500 < len(others) + 58 < 1700
    assert all(one.magnitude < 5.0 for one in others)
    hips = {one.hip for one in others}
    assert len(hips) == len(others)
    assert hips.isdisjoint(catalogue.star(name).hip for name in catalogue.NAVIGATIONAL_STARS)
    mizar = catalogue.star("HIP 65378")  # zeta Ursae Majoris, V 2.2 (from memory)
    assert mizar.ra_deg == pytest.approx(200.98, abs=0.01) and mizar.magnitude == pytest.approx(2.23, abs=0.05)

"""`nightleg almanac`: where the bodies stand at an instant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from nightleg.commands.options import Words, instant
from nightleg.commands.terminal import InputError, say
from nightleg.units.times import write_instant

if TYPE_CHECKING:
    from nightleg.sky.almanac import Almanac

SUMMARY = "GHA, Dec, parallax, semidiameter and magnitude of all bodies at a time"
FORMAT = "nightleg-almanac-1"


def _words() -> Words:
    words = Words(
        "almanac",
        "The Greenwich hour angle and declination of Sun, Moon, planets and navigational\n"
        "stars at an instant of GMT, with equatorial horizontal parallax (HP), geocentric\n"
        "semidiameter (SD) and magnitude.",
        "nightleg almanac 2026-03-14T22:52:00Z",
    )
    words.add_argument("time", type=instant, metavar="TIME", help="date and time with Z, like 2026-03-14T22:52:00Z")
    words.add_argument("--json", action="store_true", help="one JSON document")
    return words


def run(arguments: Sequence[str]) -> int:
    """Answer one call. Returns 0; raises InputError outside the ephemeris, UsageError, SystemExit(0) after --help."""
    options = _words().read(arguments)
    # Imported here: they bring numpy and the ephemeris, which --help and a wrong call do not need.
    from nightleg.sky.almanac import almanac
    from nightleg.sky.ephemeris import EphemerisRangeError

    try:
        page = almanac(options.time)
    except EphemerisRangeError as error:
        raise InputError(f"TIME: {error}") from None
    if options.json:
        from nightleg.commands.solution_json import dumps

        say(dumps(_document(page)) + "\n")
    else:
        say(_table(page))
    return 0


def _document(page: Almanac) -> dict[str, Any]:
    from nightleg.commands.json_values import azimuth, iso, number

    return {
        "format": FORMAT,
        "time": iso(page.time),
        "gha_aries": azimuth(page.gha_aries_deg),
        "bodies": [
            {
                "name": row.name,
                "gha": azimuth(row.gha_deg),
                "dec": number(row.dec_deg),
                "hp_arcmin": number(row.hp_arcmin),
                "sd_arcmin": number(row.sd_arcmin),
                "magnitude": number(row.magnitude),
            }
            for row in page.bodies
        ],
        "warnings": list(page.warnings),
    }


def _table(page: Almanac) -> str:
    from nightleg.commands.figures import latitude, signed, turn

    lines = [
        f"{write_instant(page.time).replace('T', ' ').replace('Z', ' GMT')}    GHA Aries {turn(page.gha_aries_deg)}",
        "",
        f"{'body':<18}{'GHA':>9}  {'Dec':>9}  {'HP':>7}  {'SD':>7}  {'mag':>5}",
    ]
    for row in page.bodies:
        parallax = f"{row.hp_arcmin:.2f}′" if row.hp_arcmin > 0.0 else ""
        size = f"{row.sd_arcmin:.2f}′" if row.sd_arcmin > 0.0 else ""
        lines.append(
            f"{row.name:<18}{turn(row.gha_deg):>9}  {latitude(row.dec_deg):>9}  {parallax:>7}  {size:>7}  "
            f"{signed(row.magnitude).lstrip('+'):>5}"
        )
    lines += [f"! {warning}" for warning in page.warnings]
    return "\n".join(lines) + "\n"

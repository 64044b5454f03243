"""The working of a fix: its lines, the estimate, and how far to trust it."""

from __future__ import annotations

import math

from nightleg.fix.ellipse import Ellipse, chi2_two_dof
from nightleg.flight.model import Flight
from nightleg.flight.solution import FixResult, LineResult, Solution
from nightleg.flight.working_step import Step, Working
from nightleg.units.angles import MINUS, write_arcmin, write_bearing
from nightleg.units.positions import write_position
from nightleg.units.times import gmt_s, write_clock

LEAST_SQUARES = "weighted least squares on the exact altitudes (Gauss-Newton)"
NORMAL = "bivariate normal distribution"


def fix_working(flight: Flight, solution: Solution, fix: FixResult) -> Working:
    """All steps of one fix."""
    steps = [_dr(solution, fix), *_lines(solution, fix)]
    if fix.position is None:
        steps.append(Step("position", "none", source="; ".join(fix.trust)))
    elif fix.kind == "known":
        steps.append(Step("position", write_position(fix.position), "as given", source="known by other means"))
    else:
        steps.append(_position(flight, fix))
    steps += _trust(fix)
    steps += _found(fix)
    return Working(of=fix.id, title=f"fix {fix.id}, {write_clock(fix.time)} GMT", steps=tuple(steps))


def _dr(solution: Solution, fix: FixResult) -> Step:
    plot = solution.plot_of_fix[fix.id]
    sigma = math.sqrt((fix.dr_cov_nm2[0][0] + fix.dr_cov_nm2[1][1]) / 2.0)
    return Step(
        "DR at the fix time",
        write_position(fix.dr),
        "σ² = σ₀² + (σ of the wind·hours since the last adopted fix)², each axis",
        (
            ("hours since", f"{plot.hours(gmt_s(fix.time)):.2f}"),
            ("σ of the DR", f"{sigma:.1f} NM"),
        ),
        "air-navigation practice",
    )


def _lines(solution: Solution, fix: FixResult) -> list[Step]:
    steps = []
    others = {line.id: line for line in solution.lines}
    for id in fix.sights:
        if id in others:
            steps.append(_other_line(fix, others[id]))
            continue
        sight = solution.sight(id)
        minutes = (fix.time - sight.time).total_seconds() / 60.0
        steps.append(
            Step(
                f"line {id} {sight.body}",
                f"{write_arcmin(fix.intercepts_nm[id])} on {write_bearing(sight.zn, 1)}",
                f"Ho {MINUS} Hc where the DR was at the shot; the line is carried to the fix time by the legs' motion",
                (
                    ("carried", f"{minutes:+.1f} min".replace("-", MINUS)),
                    ("σ of the shot", f"{sight.sigma_arcmin:.1f}′"),
                    (f"left at the fix, Ho {MINUS} Hc", write_arcmin(fix.residuals_arcmin[id])),
                    *_less_common(fix, fix.residuals_arcmin[id]),
                    ("redundancy", f"{fix.redundancy[id]:.2f}"),
                ),
            )
        )
    return steps


def _less_common(fix: FixResult, residual_arcmin: float) -> tuple[tuple[str, str], ...]:
    """What is left of a shot's residual after the error common to all, where that is solved for."""
    common = fix.common_error_arcmin
    return () if common is None else (("left after the common error", write_arcmin(residual_arcmin - common)),)


def _other_line(fix: FixResult, line: LineResult) -> Step:
    """A line that is no altitude: its offset from the DR, in the direction of its normal."""
    minutes = (fix.time - line.time).total_seconds() / 60.0
    normal = "" if line.normal_deg is None else f" on {write_bearing(line.normal_deg)}"
    return Step(
        f"line {line.id} {line.kind}",
        "none" if line.offset_nm is None else f"{line.offset_nm:+.1f} NM{normal}".replace("-", MINUS),
        "from the DR at its time to the line; the line is carried to the fix time by the legs' motion",
        (
            ("carried", f"{minutes:+.1f} min".replace("-", MINUS)),
            ("σ of the line", "none" if line.sigma_nm is None else f"{line.sigma_nm:.1f} NM"),
            ("left at the fix", f"{fix.residuals_arcmin[line.id]:+.1f} NM".replace("-", MINUS)),
            ("redundancy", f"{fix.redundancy[line.id]:.2f}"),
        ),
    )


def _position(flight: Flight, fix: FixResult) -> Step:
    inputs = [
        ("common error of the shots, 1σ", f"{flight.sextant.common_sigma_arcmin:.1f}′"),
        ("error of the wind, 1σ each axis", f"{flight.wind_uncertainty.sigma_kt:.0f} kt"),
        ("error of the watch, 1σ", f"{flight.watch.sigma_s:.1f} s"),
        ("DR taken in", "yes" if fix.prior else "no"),
    ]
    if fix.from_dr_nm is not None and fix.from_dr_deg is not None:
        inputs.append(("from the DR", f"{fix.from_dr_nm:.1f} NM, {write_bearing(fix.from_dr_deg)}"))
    if fix.common_error_arcmin is not None and fix.common_error_sigma_arcmin is not None:
        found = f"{write_arcmin(fix.common_error_arcmin)}, 1σ {fix.common_error_sigma_arcmin:.1f}′"
        inputs[0] = ("common error of the shots, solved for", found)
    assert fix.position is not None
    return Step(
        "position",
        write_position(fix.position),
        f"the place where the sum of weighted (Ho {MINUS} Hc)² is least",
        tuple(inputs),
        LEAST_SQUARES,
    )


def _trust(fix: FixResult) -> list[Step]:
    if fix.cov_nm2 is None:
        return []
    (nn, ne), (_, ee) = fix.cov_nm2
    cov = (
        ("variance north", f"{nn:.1f} NM²"),
        ("north-east", f"{ne:.1f} NM²".replace("-", MINUS)),
        ("east", f"{ee:.1f} NM²"),
    )
    steps = [
        _ellipse("95 % ellipse", fix.ellipse95, 0.95, cov),
        _ellipse("50 % ellipse", fix.ellipse50, 0.50, cov),
        Step("CEP", f"{fix.cep_nm:.1f} NM", "radius about the fix that holds half of the errors", cov, NORMAL),
    ]
    if fix.p_value is not None:
        steps.append(
            Step(
                "agreement",
                f"p {fix.p_value:.3f}",
                "share of fixes that chance alone makes disagree as much",
                (("chi-square", f"{fix.chi2:.2f}"), ("to spare", str(fix.dof))),
                "chi-square distribution",
            )
        )
    return [*steps, Step("trust", "; ".join(fix.trust))]


def _ellipse(name: str, shape: Ellipse | None, share: float, cov: tuple[tuple[str, str], ...]) -> Step:
    assert shape is not None
    return Step(
        name,
        f"{shape.semi_major_nm:.1f} × {shape.semi_minor_nm:.1f} NM, long axis {shape.azimuth_deg % 180.0:03.0f}°",
        f"half axes √(χ²·λ), χ² = {chi2_two_dof(share):.3f}, λ the principal variances",
        cov,
        NORMAL,
    )


def _found(fix: FixResult) -> list[Step]:
    steps = []
    if fix.wind_from_deg is not None and fix.wind_kt is not None and fix.wind_since is not None:
        steps.append(
            Step(
                "wind found",
                f"{write_bearing(fix.wind_from_deg).rstrip('°')}/{fix.wind_kt:.0f}",
                "the one wind that, with the headings and airspeeds flown, leads from the last fix to this one",
                (("since", write_clock(fix.wind_since)),),
                "air plot: (fix less air position) over the time between",
            )
        )
    if fix.mpp_rule is not None:
        steps.append(
            Step(
                "most probable position by rule",
                write_position(fix.mpp_rule),
                "from the DR toward the line by t·p/(t + p): t minutes since the last fix, p NM to the line",
                source="FAA-H-8083-18",
            )
        )
    return steps

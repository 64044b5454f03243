"""A solution as the JSON document of the command line: decimal degrees, NM, minutes of arc, ISO times with Z."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from nightleg.commands.json_values import azimuth, iso, longitude, number, significant, wind_text
from nightleg.fix.ellipse import Ellipse
from nightleg.flight.model import Flight, Truth, Wind
from nightleg.flight.solution import (
    Correction,
    DrState,
    FixResult,
    HeadingResult,
    LineResult,
    Matrix,
    SightResult,
    Solution,
    WindByDrift,
)
from nightleg.flight.suspects import Suspect, Verdict
from nightleg.units.positions import Position

FORMAT = "nightleg-solution-1"


def dumps(document: Mapping[str, Any]) -> str:
    """The document on one line of ASCII, so that its bytes do not depend on the output's encoding."""
    return json.dumps(document, allow_nan=False, separators=(",", ":"))


def document(
    solution: Solution,
    truth: Truth | None = None,
    verdicts: Mapping[str, Verdict] | None = None,
    flight: Flight | None = None,
) -> dict[str, Any]:
    """The whole document; with `truth` only where the caller wants it revealed.

    With the `flight`, what is worked out for it on demand is in it too: directions by its grid, latitudes, landfalls.
    `verdicts` holds, by the fix's id, what would explain the disagreement of a fix that asks for it.
    """
    verdicts = verdicts or {}
    result: dict[str, Any] = {
        "format": FORMAT,
        "title": solution.title,
        "dr": [_dr(state) for state in solution.dr],
        "sights": [_sight(sight) for sight in solution.sights],
        "lines": [_line(line) for line in solution.lines],
        "fixes": [_fix(fix, verdicts.get(fix.id)) for fix in solution.fixes],
        "heading_checks": [_heading(check) for check in solution.heading_checks],
        "drift_winds": [_drift_wind(found) for found in solution.drift_winds],
        "warnings": list(solution.warnings),
    }
    if flight is not None:
        from nightleg.commands.added_json import add_to  # it knows this module

        add_to(result, flight, solution, truth)
    if truth is not None:
        result["truth"] = _truth(truth)
    return result


def _dr(state: DrState) -> dict[str, Any]:
    return {
        "kind": state.kind,
        "fix": state.of,
        "time": iso(state.time),
        "lat": number(state.position.lat),
        "lon": longitude(state.position.lon),
        "track_deg": azimuth(state.track_deg),
        "gs_kt": number(state.gs_kt),
        "drift_deg": number(state.drift_deg),
        "sigma_nm": number(state.sigma_nm),
        "cov_nm2": _matrix(state.cov_nm2),
        "heading_deg": azimuth(state.heading_deg),
        "tas_kt": number(state.tas_kt),
        "wind": wind_text(state.wind_from_deg, state.wind_kt),
        "wind_from_deg": azimuth(state.wind_from_deg),
        "wind_kt": number(state.wind_kt),
        "altitude_ft": number(state.altitude_ft),
    }


def _sight(sight: SightResult) -> dict[str, Any]:
    return {
        "id": sight.id,
        "body": sight.body,
        "time": iso(sight.time),
        "watch_time": iso(sight.watch_time),
        "hs": number(sight.hs),
        "ho": number(sight.ho),
        "hc": number(sight.hc),
        "zn": azimuth(sight.zn),
        "intercept_nm": number(sight.intercept_nm),
        "gha": azimuth(sight.gha),
        "gha_aries": azimuth(sight.gha_aries),
        "dec": number(sight.dec),
        "lha": azimuth(sight.lha),
        "dr_lat": number(sight.dr.lat),
        "dr_lon": longitude(sight.dr.lon),
        "assumed": _place(sight.reduced_from) if sight.assumed else None,
        "corrections": [_correction(correction) for correction in sight.corrections],
        "body_motion_arcmin_per_min": number(sight.body_motion_arcmin_per_min),
        "observer_motion_arcmin_per_min": number(sight.observer_motion_arcmin_per_min),
        "sigma_arcmin": number(sight.sigma_arcmin),
        "scatter_arcmin": number(sight.scatter_arcmin),
        "readings": sight.n_readings,
        "fix": sight.fix,
        "use": sight.used,
        "warnings": list(sight.warnings),
    }


def _heading(check: HeadingResult) -> dict[str, Any]:
    return {
        "id": check.id,
        "body": check.body,
        "time": iso(check.time),
        "zn": azimuth(check.zn),
        "true_heading_deg": azimuth(check.true_heading_deg),
        "should_show_deg": azimuth(check.should_show_deg),
        "error_deg": number(check.error_deg),
        "shown": check.shown,
        "warnings": list(check.warnings),
    }


def _drift_wind(found: WindByDrift) -> dict[str, Any]:
    wind = found.wind
    return {
        "drifts": list(found.ids),
        "time": iso(found.time),
        "wind": wind_text(wind.from_deg, wind.kt) if wind else None,
        "wind_from_deg": azimuth(wind.from_deg) if wind else None,
        "wind_kt": number(wind.kt) if wind else None,
        "cov_kt2": _matrix(wind.cov_kt2) if wind else None,
        "why_not": found.why_not or None,
    }


def _line(line: LineResult) -> dict[str, Any]:
    return {
        "id": line.id,
        "kind": line.kind,
        "time": iso(line.time),
        "lat": None if line.position is None else number(line.position.lat),
        "lon": None if line.position is None else longitude(line.position.lon),
        "normal_deg": azimuth(line.normal_deg),
        "offset_nm": number(line.offset_nm),
        "sigma_nm": number(line.sigma_nm),
        "fix": line.fix,
        "use": line.used,
        "warnings": list(line.warnings),
    }


def _correction(correction: Correction) -> dict[str, Any]:
    return {"name": correction.name, "arcmin": number(correction.arcmin)}


def _fix(fix: FixResult, verdict: Verdict | None) -> dict[str, Any]:
    return {
        "id": fix.id,
        "kind": fix.kind,
        "time": iso(fix.time),
        "lat": None if fix.position is None else number(fix.position.lat),
        "lon": None if fix.position is None else longitude(fix.position.lon),
        "cov_nm2": None if fix.cov_nm2 is None else _matrix(fix.cov_nm2),
        "ellipse95": _ellipse(fix.ellipse95),
        "ellipse50": _ellipse(fix.ellipse50),
        "cep_nm": number(fix.cep_nm),
        "sights": list(fix.sights),
        "residuals_arcmin": _by_id(fix.residuals_arcmin),
        "intercepts_nm": _by_id(fix.intercepts_nm),
        "redundancy": _by_id(fix.redundancy),
        "chi2": significant(fix.chi2),
        "dof": fix.dof,
        "p_value": significant(fix.p_value),
        "common_error_arcmin": number(fix.common_error_arcmin),
        "common_error_sigma_arcmin": number(fix.common_error_sigma_arcmin),
        "prior": fix.prior,
        "adopted": fix.adopted,
        "dr_lat": number(fix.dr.lat),
        "dr_lon": longitude(fix.dr.lon),
        "from_dr_nm": number(fix.from_dr_nm),
        "from_dr_deg": azimuth(fix.from_dr_deg),
        "wind": wind_text(fix.wind_from_deg, fix.wind_kt),
        "wind_from_deg": azimuth(fix.wind_from_deg),
        "wind_kt": number(fix.wind_kt),
        "wind_cov_kt2": None if fix.wind_cov_kt2 is None else _matrix(fix.wind_cov_kt2),
        "wind_since": None if fix.wind_since is None else iso(fix.wind_since),
        "mpp_rule": None if fix.mpp_rule is None else _place(fix.mpp_rule),
        "alternatives": [_place(place) for place in fix.alternatives],
        "trust": list(fix.trust),
        "suspects": [_suspect(suspect) for suspect in verdict.suspects] if verdict else [],
        "verdict": verdict.words if verdict else None,
        "warnings": list(fix.warnings),
    }


def _suspect(suspect: Suspect) -> dict[str, Any]:
    return {
        "id": suspect.id,
        "explanation": suspect.explanation,
        "log_odds": number(suspect.log_odds),
        "chi2": significant(suspect.chi2),
        **_place(suspect.position),
    }


def _by_id(values: Mapping[str, float]) -> dict[str, float | None]:
    return {id: number(value) for id, value in values.items()}


def _place(position: Position) -> dict[str, float | None]:
    return {"lat": number(position.lat), "lon": longitude(position.lon)}


def _matrix(matrix: Matrix) -> list[list[float | None]]:
    return [[number(value) for value in row] for row in matrix]


def _ellipse(ellipse: Ellipse | None) -> dict[str, float | None] | None:
    if ellipse is None:
        return None
    return {
        "semi_major_nm": number(ellipse.semi_major_nm),
        "semi_minor_nm": number(ellipse.semi_minor_nm),
        "azimuth_deg": azimuth(ellipse.azimuth_deg, 180.0),
    }


def _truth(truth: Truth) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "track": [
            {
                "time": iso(point.time),
                "lat": number(point.position.lat),
                "lon": longitude(point.position.lon),
                "altitude_ft": number(point.altitude_ft),
            }
            for point in truth.track
        ]
    }
    if isinstance(truth.wind, Wind):
        shown["wind"] = wind_text(truth.wind.from_deg, truth.wind.kt)
    if truth.heading_error_deg is not None:
        shown["heading_error_deg"] = number(truth.heading_error_deg)
    if truth.seed is not None:
        shown["seed"] = truth.seed
    return shown

"""The quantities of a flight file: each a type with the range that is accepted.

Ranges that the trade fixes are exact; the others only stop what nobody can mean (a speed of 43 000 kt, a missing
decimal point), so that no computation overflows.
"""

from __future__ import annotations

from typing import Annotated

from nightleg.flight.kinds import Angle, BodyName, Destination, Id, Latitude, NewId, Number, Whole

TURN_ARCMIN = 5400.0  # a quarter of a turn: no correction or error of an altitude is larger
HALF_EARTH_NM = 10801.2  # half the equator of WGS 84
CEILING_FT = 65617.0  # 20 km, the top of the standard atmosphere's second layer
FLOOR_FT = -2000.0

DirectionDeg = Annotated[float, Number(0.0, 360.0, "degrees")]
RelativeDeg = Annotated[float, Number(-180.0, 360.0, "degrees from the nose, right positive")]
OffsetDeg = Annotated[float, Number(-180.0, 180.0, "degrees")]
HsDeg = Annotated[float, Angle(-2.0, 90.0, "degrees")]
HcDeg = Annotated[float, Angle(-90.0, 90.0, "degrees")]
LimitDeg = Annotated[float, Number(-2.0, 90.0, "degrees")]
ConeDeg = Annotated[float, Latitude(-89.0, 89.0, "degrees")]
LongitudeDeg = Annotated[float, Number(-180.0, 180.0, "degrees, east positive")]
LatitudeDeg = Annotated[float, Latitude(-90.0, 90.0, "degrees")]
BankDeg = Annotated[float, Number(0.0, 60.0, "degrees of bank; 0 leaves corners sharp")]
SigmaDeg = Annotated[float, Number(0.0, 180.0, "degrees")]
ToleranceDeg = Annotated[float, Number(0.0, 360.0, "degrees")]

Arcmin = Annotated[float, Number(-TURN_ARCMIN, TURN_ARCMIN, "minutes of arc")]
ReadingSigmaArcmin = Annotated[float, Number(0.0, TURN_ARCMIN, "minutes of arc", above=True)]
SigmaArcmin = Annotated[float, Number(0.0, TURN_ARCMIN, "minutes of arc")]

SigmaNm = Annotated[float, Number(0.0, HALF_EARTH_NM, "nautical miles")]
DistanceNm = Annotated[float, Number(0.0, HALF_EARTH_NM, "nautical miles")]
SignedNm = Annotated[float, Number(-HALF_EARTH_NM, HALF_EARTH_NM, "nautical miles")]

SpeedKt = Annotated[float, Number(0.0, 5000.0, "knots")]
Mach = Annotated[float, Number(0.0, 8.0, "")]
SpeedChange = Annotated[float, Number(-1000.0, 1000.0, "knots per minute")]
TurnRate = Annotated[float, Number(-3600.0, 3600.0, "degrees per minute")]

AltitudeFt = Annotated[float, Number(FLOOR_FT, CEILING_FT, "feet, within the standard atmosphere")]
DValueFt = Annotated[float, Number(-20000.0, 20000.0, "feet")]
EyeM = Annotated[float, Number(0.0, 20000.0, "metres")]
TemperatureC = Annotated[float, Number(-273.15, 100.0, "degrees Celsius", above=True)]

DurationS = Annotated[float, Number(0.0, 86400.0, "seconds")]
WatchErrorS = Annotated[float, Number(-86400.0, 86400.0, "seconds")]
SigmaS = Annotated[float, Number(0.0, 86400.0, "seconds")]
Minutes = Annotated[float, Number(0.0, 1440.0, "minutes")]

Seed = Annotated[int, Whole(0, 2**63 - 1)]
IdText = Annotated[str, NewId()]
Reference = Annotated[str, Id()]
PlaceText = Annotated[str, Destination()]
Body = Annotated[str, BodyName()]

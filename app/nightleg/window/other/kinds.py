"""What is entered besides sights: a row for each kind, and a field for each key of the flight file that it takes.

Form, menus and log are made from these rows, so that a new kind is one row more. No Qt here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from nightleg.flight.linework import DIRECTION_SIGMA_DEG, LATITUDE_SIGMA_NM, PRESSURE_SIGMA_NM, RANGE_SIGMA_NM

RowKind = Literal["line", "fix", "drift", "check", "landfall"]
"""Kinds of the log's rows that these entries become."""


@dataclass(frozen=True, slots=True)
class FormField:
    """A field of the form: its key in the file, what stands over it, and how it is spoken.

    `width` counts in thirds of the form; `usual` is what holds where it is left empty; `options` are words and values
    of a choice, `refers` one among the start and the fixes. With `sides`, R or L may stand after a number, right
    positive. A field that `stays` keeps its text for the next entry of its kind. `column` is where the full log has it,
    if it is not the usual one of its key.
    """

    key: str
    caption: str
    spoken: str
    width: int = 1
    needed: bool = True
    usual: str = ""
    options: tuple[tuple[str, Any], ...] = ()
    refers: bool = False
    sides: bool = False
    stays: bool = False
    column: str = ""

    @property
    def in_log(self) -> str:
        """The full log's column of it."""
        return self.column or _COLUMNS.get(self.key, "reading")

    @property
    def is_choice(self) -> bool:
        """Whether something is chosen, not typed."""
        return bool(self.options) or self.refers


@dataclass(frozen=True, slots=True)
class EntryKind:
    """A kind of entry: table of the file with the keys that make it this kind, first letter of its ids, its fields.

    Of the keys in `one_of` one is needed. `main` is what was read: what the computation refuses is told there. `probe`
    are values for what is not typed yet, with which a refusal is known before it is. `in_fix`: it goes into a fix.
    `hint` stands under the fields before anything is typed.
    """

    name: str
    title: str
    table: str
    row: RowKind
    letter: str
    main: str
    fields: tuple[FormField, ...]
    fixed: Mapping[str, Any] = field(default_factory=dict)
    one_of: tuple[str, ...] = ()
    probe: Mapping[str, Any] = field(default_factory=dict)
    in_fix: bool = False
    hint: str = ""

    def field(self, key: str) -> FormField:
        """The field of a key. Raises KeyError."""
        for one in self.fields:
            if one.key == key:
                return one
        raise KeyError(key)


_COLUMNS = {
    "time": "time",
    "body": "entry",
    "station": "position",
    "position": "position",
    "heading_deg": "TH",
    "shown_deg": "CH",
    "station_variation_deg": "var",
    "station_elevation_ft": "altitude",
    "d1_ft": "D1",
    "from": "by",
    "reference": "by",
    "slant": "by",
    "shown": "by",
    "side": "by",
    "limb": "limb",
    "sigma_nm": "1σ",
    "sigma_deg": "1σ",
    "adopt": "use",
}


def _time(spoken: str = "Time, GMT") -> FormField:
    return FormField("time", "Time, GMT" if spoken.endswith("GMT") else "Watch time", spoken)


_SIGMA = {"NM": "1σ, NM", "°": "1σ, degrees"}  # with a letter that can be underlined


def _sigma(unit: str, usual: float, what: str) -> FormField:
    spoken = f"One sigma of the {what} in " + {"NM": "nautical miles", "°": "degrees"}[unit]
    return FormField("sigma_nm" if unit == "NM" else "sigma_deg", _SIGMA[unit], spoken, 1, False, f"{usual:g}")


_STATION = FormField("station", "Station, its position", "Position of the station", 2, stays=True)


def _line(name: str, title: str, letter: str, main: str, *fields: FormField, **more: Any) -> EntryKind:
    return EntryKind(name, title, "line", "line", letter, main, fields, {"kind": name}, in_fix=True, **more)


KINDS: tuple[EntryKind, ...] = (
    _line(
        "pressure",
        "Pressure line",
        "p",
        "d2_ft",
        _time(),
        FormField("d1_ft", "First D, ft", "First D, true less pressure altitude, in feet"),
        FormField("d2_ft", "Second D, ft", "Second D, true less pressure altitude, in feet"),
        FormField("from", "First D read at", "Where the first D was read", refers=True),
        _sigma("NM", PRESSURE_SIGMA_NM, "pressure line"),
        probe={"d1_ft": 0.0, "d2_ft": 0.0},
        hint="D is true less pressure altitude, read twice on one pressure level: where the path began, and now.",
    ),
    _line(
        "bearing",
        "Bearing of a point",
        "b",
        "bearing_deg",
        _time(),
        replace(_STATION, caption="Point, its position", spoken="Position of the point"),
        FormField("bearing_deg", "Bearing, ° true", "True bearing of the point in degrees", 1, False),
        FormField("relative_bearing_deg", "or ° relative", "Bearing from the nose, degrees, right positive", 1, False),
        _sigma("°", DIRECTION_SIGMA_DEG, "bearing"),
        one_of=("bearing_deg", "relative_bearing_deg"),
        hint="A point seen or heard: its position, and where it bears, by true north or from the nose.",
    ),
    _line(
        "radial",
        "Radial from a station",
        "r",
        "radial_deg",
        _time(),
        _STATION,
        FormField("radial_deg", "Radial, °", "Radial from the station in degrees"),
        FormField(
            "reference", "Counted by", "North that the radial is counted by", 1, False, "magnetic",
            (("magnetic", "magnetic"), ("true", "true")), stays=True,
        ),
        FormField(
            "station_variation_deg", "Variation, °", "Variation of the station in degrees, east positive", 1, False,
            "model", stays=True,
        ),
        _sigma("°", DIRECTION_SIGMA_DEG, "radial"),
        hint="A station, and the radial from it that the aircraft is on.",
    ),
    _line(
        "range",
        "Range from a station",
        "r",
        "range_nm",
        _time(),
        _STATION,
        FormField("range_nm", "Range, NM", "Range from the station in nautical miles"),
        FormField(
            "slant", "Measured", "How the range was measured", 1, False, "slant",
            (("slant", True), ("on ground", False)), stays=True,
        ),
        FormField(
            "station_elevation_ft", "Station, ft", "Elevation of the station in feet", 1, False, "0", stays=True,
        ),
        _sigma("NM", RANGE_SIGMA_NM, "range"),
        hint="A station, and how far it is, as measured through the air or along the ground.",
    ),
    _line(
        "latitude",
        "Latitude",
        "l",
        "latitude",
        _time(),
        FormField("latitude", "Latitude", "Latitude, with N or S"),
        _sigma("NM", LATITUDE_SIGMA_NM, "latitude"),
        hint="A latitude found by other means, like 41 30.0 N.",
    ),
    EntryKind(
        "known",
        "Known fix",
        "fix",
        "fix",
        "f",
        "position",
        (
            _time(),
            FormField("position", "Position, seen or by radio", "Position of the fix", 2),
            FormField("sigma_nm", _SIGMA["NM"], "One sigma of the position on each axis in nautical miles"),
            FormField(
                "adopt", "DR goes on", "Whether the DR goes on from this fix", 1, False, "from it",
                (("from it", True), ("as it was", False)),
            ),
        ),
        {"kind": "known"},
        hint="A position seen or by radio, with its 1σ on each axis. The DR goes on from it.",
    ),
    EntryKind(
        "drift",
        "Drift reading",
        "drift",
        "drift",
        "d",
        "drift_deg",
        (
            _time(),
            FormField("heading_deg", "Heading, ° true", "True heading in degrees"),
            FormField("drift_deg", "Drift, ° R or L", "Drift in degrees, right positive", sides=True),
            FormField("sigma_deg", _SIGMA["°"], "One sigma of the drift in degrees", 1, False, "1"),
        ),
        hint="Drifts read on two headings or more give the wind: 5 L is five degrees to the left.",
    ),
    EntryKind(
        "check",
        "Heading check",
        "heading_check",
        "check",
        "h",
        "relative_bearing_deg",
        (
            FormField("body", "Body", "Body that was sighted"),
            _time("Watch time"),
            FormField("relative_bearing_deg", "Bearing, ° rel.", "Bearing of the body from the nose in degrees"),
            FormField("shown_deg", "Heading shown, °", "Heading that the instrument showed in degrees"),
            FormField(
                "shown", "Shown as", "What the instrument shows", 1, False, "compass",
                (("compass", "compass"), ("magnetic", "magnetic"), ("true", "true"), ("grid", "grid")), stays=True,
            ),
        ),
        hint="A body's bearing from the nose, and the heading that was shown then. Low bodies are best.",
    ),
    EntryKind(
        "landfall",
        "Landfall",
        "landfall",
        "landfall",
        "k",
        "destination",
        (
            FormField("body", "Body", "Body whose line is run down"),
            FormField("time", "Expected, GMT", "Time expected at the destination, GMT"),
            FormField(
                "side", "Aim off to the", "Side of the destination to aim off to", 1, True, "left",
                (("left", "left"), ("right", "right")),
            ),
            FormField("destination", "Waypoint or position", "Destination: a waypoint's name or a position", 2),
            FormField("aim_off_nm", "Aim-off, NM", "Aim-off in nautical miles", 1, False, "by DR", column="distance"),
            FormField(
                "limb", "Limb", "Limb of Sun or Moon that is observed", 1, False, "centre",
                (("centre", "centre"), ("lower", "lower"), ("upper", "upper")), stays=True,
            ),
        ),
        hint="Aim off to one side of a destination, turn when Ho is the Hc there, and run down the line.",
    ),
)  # fmt: skip
"""All of them, in the order of the menus."""

SIGHT = ""
"""The name that stands for a sight, where a kind is named."""
SIGHT_TITLE = "Sight"


def kind_of(name: str) -> EntryKind:
    """The kind of that name. Raises KeyError."""
    for kind in KINDS:
        if kind.name == name:
            return kind
    raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Other:
    """The form of the other kinds as typed: the kind in hand (SIGHT: none of them), and texts by the name of their box.

    `fix` is as in the draft of a sight. Times of GMT and the station share a box between kinds, all else has its own.
    """

    kind: str = SIGHT
    texts: tuple[tuple[str, str], ...] = ()
    fix: str | None = None

    def text(self, key: str, kind: str = "") -> str:
        """What stands in the field of a key."""
        return dict(self.texts).get(box(kind or self.kind, key), "")

    def put(self, key: str, text: str) -> Other:
        """The same with another text in a field."""
        held = dict(self.texts)
        held[box(self.kind, key)] = text
        return replace(self, texts=tuple(sorted((name, one) for name, one in held.items() if one)))

    def next(self) -> Other:
        """The form readied for the next entry of its kind: what belongs to a station stays."""
        going = {box(self.kind, one.key) for one in kind_of(self.kind).fields if not one.stays}
        return Other(self.kind, tuple((name, text) for name, text in self.texts if name not in going))


def other_words(draft: Other) -> str:
    """What is typed of the kind in hand, in a line: `radial from a station 2150 … 275`; empty before a reading."""
    kind = kind_of(draft.kind)
    read = (kind.main, *kind.one_of)
    if not any(draft.text(key).strip() for key in read):
        return ""
    texts = [" ".join(draft.text(one.key).split()) for one in kind.fields if not one.is_choice]
    return " ".join([kind.title[0].lower() + kind.title[1:], *(text for text in texts if text)])


def box(kind: str, key: str) -> str:
    """The name that the text of a field is kept by."""
    shared = key == "station" or (key == "time" and kind != "check")
    return key if shared else f"{kind}.{key}"

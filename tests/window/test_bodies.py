"""Where bodies stand, the list of the body field, and the Sun's caution."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import ephem
import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.sky.catalogue import BODIES
from nightleg.units.times import gmt_s
from nightleg.window.main import MainWindow
from nightleg.window.sight.bodies import day_limit_deg, fitting, spoken, standings, sun_caution
from nightleg.window.sight.bodieslist import STANDING, BodyField


@pytest.fixture(scope="module")
def solution(demo: Document) -> Solution:
    return solve(demo.flight)


EVENING = datetime(2026, 10, 18, 22, 0, tzinfo=UTC)
DAY = datetime(2026, 10, 18, 18, 0, tzinfo=UTC)


@pytest.mark.parametrize("name", ["Sun", "Moon", "Saturn", "Jupiter", "Venus"])
def test_altitude_and_azimuth_against_ephem(solution: Solution, name: str) -> None:
    # PyEphem (libastro) as an independent authority. It is topocentric: the Moon's parallax is taken off again, and
    # 0.1° covers that of the others, the nutation and the rounding that the list is read with (whole degrees).
    plot = solution.plot_at(EVENING)
    lat, lon = (float(part) for part in plot.position(gmt_s(EVENING)))
    here = ephem.Observer()
    here.lat, here.lon, here.pressure = str(lat), str(lon), 0
    here.date = EVENING.replace(tzinfo=None)
    body = getattr(ephem, name)(here)
    found = next(one for one in standings(plot, gmt_s(EVENING)) if one.name == name)
    alt = np.degrees(float(body.alt))
    if name == "Moon":
        alt += np.degrees(6378.14 / (float(body.earth_distance) * 149597870.7)) * np.cos(np.radians(alt))
    assert found.hc_deg == pytest.approx(alt, abs=0.1)
    assert found.zn_deg == pytest.approx(np.degrees(float(body.az)), abs=0.1)


def test_separation_from_the_sun_against_ephem(solution: Solution) -> None:
    for name in ("Venus", "Moon", "Mars"):
        body, sun = getattr(ephem, name)(), ephem.Sun()
        when = EVENING.replace(tzinfo=None)
        body.compute(when)
        sun.compute(when)
        expected = np.degrees(float(ephem.separation((body.g_ra, body.g_dec), (sun.g_ra, sun.g_dec))))
        found = next(one for one in standings(solution.plot_at(EVENING), gmt_s(EVENING)) if one.name == name)
        assert found.from_sun_deg == pytest.approx(expected, abs=0.05)  # two ephemerides, and aberration


def test_those_that_are_up_come_first_and_none_is_missing(solution: Solution) -> None:
    found = standings(solution.plot_at(EVENING), gmt_s(EVENING))
    assert {body.name for body in found} == set(BODIES)
    up = [body.up for body in found]
    assert up == sorted(up, reverse=True)
    assert "Sun" in {body.name for body in found if not body.up}  # hours after sunset


def test_search_puts_beginnings_first_among_those_that_are_up(solution: Solution) -> None:
    found = fitting(standings(solution.plot_at(EVENING), gmt_s(EVENING)), "al")
    names = [body.name for body in found]
    assert names.index("Altair") < names.index("Hamal") < names.index("Alkaid")  # Alkaid is down
    assert [body.name for body in fitting(found, "alnair")] == ["Al Na'ir"]


def test_words_for_a_screen_reader(solution: Solution) -> None:
    found = {body.name: body for body in standings(solution.plot_at(EVENING), gmt_s(EVENING))}
    assert spoken(found["Altair"]) == "Altair, altitude 47 degrees, azimuth 250, magnitude 0.8"
    assert spoken(found["Sun"]) == "Sun, below the horizon"


def test_the_sun_is_cautioned_against_always_and_what_is_near_it_by_day(solution: Solution) -> None:
    day, night = solution.plot_at(DAY), solution.plot_at(EVENING)
    assert "filters" in sun_caution("Sun", night, gmt_s(EVENING))
    near = sun_caution("Venus", day, gmt_s(DAY))  # 11° from the Sun on that day, by the separation checked above
    assert "Venus stands 11° from the Sun" in near and "filters" in near
    assert sun_caution("Venus", night, gmt_s(EVENING)) == ""
    assert sun_caution("Moon", day, gmt_s(DAY)) == ""
    assert sun_caution(None, day, gmt_s(DAY)) == ""


def test_the_horizon_from_a_height() -> None:
    assert day_limit_deg(31000.0) == pytest.approx(-4.3, abs=0.05)  # The Nautical Almanac's rule at 31 000 ft


def test_the_list_opens_by_key_with_the_body_chosen(qtbot: QtBot, window: MainWindow) -> None:
    body = window.form.body
    body.setFocus()
    QTest.keyClick(body, Qt.Key.Key_Down)
    qtbot.waitUntil(body.list.isVisible, timeout=5000)
    assert body.model.rowCount() == len(BODIES)
    assert body.list.currentIndex().data() == "Polaris"
    assert body.model.index(0).data(STANDING).up
    assert "altitude" in body.model.index(0).data(Qt.ItemDataRole.AccessibleTextRole)
    QTest.keyClick(body, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not body.list.isVisible(), timeout=5000)
    assert body.text() == "Polaris"


def test_the_list_opens_and_is_chosen_from_by_mouse(qtbot: QtBot, window: MainWindow) -> None:
    body = window.form.body
    QTest.mouseClick(body, Qt.MouseButton.LeftButton, pos=QPoint(body.width() - 10, body.height() // 2))
    qtbot.waitUntil(body.list.isVisible, timeout=5000)
    body.list.scrollToTop()
    place = body.list.visualRect(body.list.model().index(1, 0)).center()
    QTest.mouseClick(body.list.viewport(), Qt.MouseButton.LeftButton, pos=place)
    qtbot.waitUntil(lambda: not body.list.isVisible(), timeout=5000)
    assert window.session.typed.body == body.model.index(1).data()


def test_altitudes_are_those_of_the_time_typed(window: MainWindow) -> None:
    form = window.form
    now = {body.name: body.hc_deg for body in form.standings()}
    form.time.setText("2100")
    earlier = {body.name: body.hc_deg for body in form.standings()}
    assert earlier["Altair"] - now["Altair"] > 8.0  # it sinks in the west: 15° of hour angle


def test_a_time_outside_the_ephemeris_leaves_the_list_empty_and_the_form_alive(solution: Solution) -> None:
    with pytest.raises(ValueError):
        standings(solution.plot_at(EVENING), gmt_s(EVENING + timedelta(days=365 * 200)))


def test_the_caution_of_a_planet_near_the_sun_shows_in_the_form(window: MainWindow) -> None:
    form = window.form
    form.time.setText("1800")
    form.body.setText("Venus")
    assert form.caution.isVisible() and "from the Sun" in form.caution.text()
    form.body.setText("Moon")
    assert not form.caution.isVisible()


def open_list_by_typing(qtbot: QtBot, window: MainWindow, text: str) -> BodyField:
    body = window.form.body
    body.setFocus()
    body.selectAll()
    QTest.keyClicks(body, text)
    qtbot.waitUntil(body.list.isVisible, timeout=5000)
    return body


@pytest.mark.parametrize("down", [0, 1])
def test_enter_in_the_open_list_picks_and_files_nothing(qtbot: QtBot, window: MainWindow, down: int) -> None:
    flight = window.session.document.flight
    QTest.keyClicks(window.form.reading, "29 34.5")
    body = open_list_by_typing(qtbot, window, "polar")
    for _ in range(down):
        QTest.keyClick(body, Qt.Key.Key_Down)
    QTest.keyClick(body, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not body.list.isVisible(), timeout=5000)
    assert body.text() == "Polaris" and window.session.typed.complete
    assert window.session.document.flight is flight and body.hasFocus()
    QTest.keyClick(body, Qt.Key.Key_Return)  # Enter in the form files as ever
    assert len(window.session.document.flight.sights) == len(flight.sights) + 1


def test_enter_in_the_open_list_goes_on_to_what_is_still_to_come(qtbot: QtBot, window: MainWindow) -> None:
    body = open_list_by_typing(qtbot, window, "veg")
    QTest.keyClick(body, Qt.Key.Key_Return)
    assert body.text() == "Vega" and window.form.reading.hasFocus() and not body.list.isVisible()


def test_the_list_takes_no_cursor_and_is_no_window(qtbot: QtBot, window: MainWindow) -> None:
    # A window of its own took the cursor back some 50 ms after Tab: a fast hand then typed the time into the body.
    body = open_list_by_typing(qtbot, window, "Veg")
    assert not body.list.isWindow() and body.list.window() is window and body.hasFocus()
    QTest.keyClick(body, Qt.Key.Key_Tab)
    assert window.form.time.hasFocus() and not body.list.isVisible() and body.text() == "Vega"


def test_the_open_list_closes_with_a_click_beside_it_and_moves_by_keys(qtbot: QtBot, window: MainWindow) -> None:
    body = window.form.body
    body.setFocus()
    QTest.keyClick(body, Qt.Key.Key_Down)
    names = [one.name for one in body.model.bodies]
    here = names.index("Polaris")
    QTest.keyClick(body, Qt.Key.Key_Down)
    assert body.text() == names[here + 1]
    QTest.keyClick(body, Qt.Key.Key_PageUp)
    assert body.text() == names[max(here + 1 - 10, 0)]
    QTest.mouseClick(window.form.remark, Qt.MouseButton.LeftButton)
    assert not body.list.isVisible()
    frame = window.rect()
    body.open_list()
    assert frame.contains(body.list.geometry())

"""A chart as a file, without a window: PNG, SVG or PDF.

The same flight and time give the same bytes whatever the zone, the language or the order of hashes: nothing of the
clock or of chance goes in.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Collection
from datetime import UTC, datetime
from pathlib import Path
from xml.sax.saxutils import escape

from PySide6.QtCore import QBuffer, QByteArray, QHashSeed, QIODevice, QMarginsF, QRect, QSize, QUuid
from PySide6.QtGui import (
    QGuiApplication,
    QImage,
    QImageWriter,
    QPageLayout,
    QPageSize,
    QPaintDevice,
    QPainter,
    QPdfWriter,
)

from nightleg.chart.fit import Extent, fit
from nightleg.chart.registry import OFF_AT_FIRST, layers
from nightleg.chart.scene import ChartScene, scene
from nightleg.chart.sheet import Sheet
from nightleg.chart.themes import Theme, theme
from nightleg.chart.viewport import Margins
from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution

SIZE_PX = (1920, 1080)
MARGINS = Margins(88.0, 78.0, 30.0, 58.0)
_PX_PER_INCH = 96.0
_PDF_PER_INCH = 1200
_LARGEST_PX = 16384
_PAGES = {"A4": QPageSize.PageSizeId.A4, "A3": QPageSize.PageSizeId.A3}


def draw(
    flight: Flight,
    solution: Solution,
    path: str | Path,
    *,
    theme: str = "paper",
    size: tuple[int, int] = SIZE_PX,
    now: datetime | None = None,
    extent: Extent = "plot",
    reveal: bool = False,
) -> None:
    """Draw the chart of a solved flight into a file; its ending (.png, .svg, .pdf) says how.

    Raises ValueError for another ending, a theme that there is not or a size that cannot be, OSError when the file
    cannot be written. The file is replaced whole or not at all.
    """
    from nightleg.safefile import write_atomically

    kind = ending(path)
    data = render(scene(flight, solution, now, reveal=reveal), kind, theme_name=theme, size=size, extent=extent)
    write_atomically(Path(path), data)


def ending(path: str | Path) -> str:
    """The kind of picture a file name asks for: "png", "svg" or "pdf". Raises ValueError for any other."""
    kind = Path(path).suffix.lower().removeprefix(".")
    if kind not in _WRITERS:
        given = f"the ending .{kind}" if kind else "no ending"
        raise ValueError(f"{Path(path).name}: {given}; a chart is written as .png, .svg or .pdf")
    return kind


def render(
    what: ChartScene,
    kind: str,
    *,
    theme_name: str = "paper",
    size: tuple[int, int] = SIZE_PX,
    extent: Extent = "plot",
    hidden: Collection[str] = OFF_AT_FIRST,
    page: str = "A4",
) -> bytes:
    """The bytes of a picture of a scene. `size` is px of a PNG or SVG; a PDF has a `page` ("A4" or "A3"), landscape."""
    application()
    chosen = theme(theme_name)
    if kind == "pdf":
        size = _page_px(page)
    if not (200 <= size[0] <= _LARGEST_PX and 200 <= size[1] <= _LARGEST_PX):
        raise ValueError(f"a picture of {size[0]} by {size[1]} px: both sides must be from 200 to {_LARGEST_PX}")
    sheet = sheet_of(what, chosen, size, extent=extent, hidden=hidden)
    return _WRITERS[kind](sheet)


def sheet_of(
    what: ChartScene,
    chosen: Theme,
    size: tuple[int, int],
    *,
    extent: Extent = "plot",
    hidden: Collection[str] = OFF_AT_FIRST,
    margins: Margins = MARGINS,
) -> Sheet:
    """The sheet that `render` paints."""
    return Sheet(what, fit(what, size, margins=margins, extent=extent), chosen, layers(hidden))


def application() -> QGuiApplication:
    """The process's Qt application; made here, and without a display, where there is none yet."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    QHashSeed.setDeterministicGlobalSeed()  # the order of the fonts in a PDF is that of a hash
    made = QGuiApplication(["nightleg"])
    _kept.append(made)
    return made


_kept: list[QGuiApplication] = []  # Qt needs its application to outlive every font and picture


def image(sheet: Sheet) -> QImage:
    """A sheet as a picture in memory."""
    view = sheet.view
    ratio = view.device_pixel_ratio
    made = QImage(round(view.width_px * ratio), round(view.height_px * ratio), QImage.Format.Format_RGB32)
    made.setDevicePixelRatio(ratio)
    made.fill(0)
    _paint(sheet, made)
    return made


def _paint(sheet: Sheet, device: QPaintDevice, scale: float = 1.0) -> None:
    """Paint a sheet, and let go of the device also when that fails: Qt ends the process otherwise."""
    painter = QPainter(device)
    try:
        painter.scale(scale, scale)
        sheet.paint(painter)
    finally:
        painter.end()


def _png(sheet: Sheet) -> bytes:
    buffer, data = _buffer()
    picture = image(sheet)
    picture.setDotsPerMeterX(round(_PX_PER_INCH / 0.0254))
    picture.setDotsPerMeterY(round(_PX_PER_INCH / 0.0254))
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(picture):
        raise OSError(f"the picture could not be packed as PNG: {writer.errorString()}")
    return bytes(data.data())


def _svg(sheet: Sheet) -> bytes:
    from PySide6.QtSvg import QSvgGenerator  # a library of its own, needed for this kind alone

    buffer, data = _buffer()
    view = sheet.view
    writer = QSvgGenerator(QSvgGenerator.SvgVersion.Svg11)
    writer.setOutputDevice(buffer)
    writer.setSize(QSize(view.width_px, view.height_px))
    writer.setViewBox(QRect(0, 0, view.width_px, view.height_px))
    writer.setResolution(round(_PX_PER_INCH))
    writer.setTitle(sheet.scene.title)
    writer.setDescription(sheet.scene.when)
    _paint(sheet, writer)
    return bytes(data.data())


def _pdf(sheet: Sheet) -> bytes:
    buffer, data = _buffer()
    view = sheet.view
    writer = QPdfWriter(buffer)
    writer.setPageSize(QPageSize(_page_id(view.width_px)))
    writer.setPageOrientation(QPageLayout.Orientation.Landscape)
    writer.setPageMargins(QMarginsF(0.0, 0.0, 0.0, 0.0))
    writer.setResolution(_PDF_PER_INCH)
    writer.setTitle(sheet.scene.title)
    writer.setCreator("Nightleg")
    writer.setDocumentXmpMetadata(QByteArray(_xmp(sheet.scene.title)))
    writer.setDocumentId(QUuid("{00000000-0000-0000-0000-000000000000}"))
    _paint(sheet, writer, _PDF_PER_INCH / _PX_PER_INCH)
    return _dated(bytes(data.data()), sheet.scene.now)


def _dated(pdf: bytes, when: datetime) -> bytes:
    """A PDF that carries the flight's time for that of its making.

    Qt writes the time of day with the zone, so the length can change; the table of offsets at the end follows.
    """
    stamp = when.astimezone(UTC).strftime("%Y%m%d%H%M%S").encode()
    dates = re.compile(rb"(/(?:CreationDate|ModDate) ?\(D:)\d{14}[^)]*\)")
    made = dates.sub(lambda found: found[1] + stamp + b"Z)", pdf)
    shift, changed = len(made) - len(pdf), [found.end() for found in dates.finditer(pdf)]
    if shift == 0:
        return made
    table = made.rindex(b"\nxref\n")
    moved = re.sub(
        rb"(\d{10})( \d{5} n)|(?<=startxref\n)(\d+)",
        lambda found: (
            b"%d" % (int(found[3]) + shift)
            if found[3]
            else b"%010d" % (int(found[1]) + (shift if int(found[1]) > changed[-1] else 0)) + found[2]
        ),
        made[table:],
    )
    return made[:table] + moved


def _xmp(title: str) -> bytes:
    """The metadata of a PDF as XMP (ISO 16684-1): the title alone, and nothing of the clock."""
    return (
        '<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?><x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title><rdf:Alt>'
        f'<rdf:li xml:lang="x-default">{escape(title)}</rdf:li>'
        '</rdf:Alt></dc:title></rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="w"?>'
    ).encode()


def _page_px(page: str) -> tuple[int, int]:
    if page not in _PAGES:
        raise ValueError(f"page {page!r}: a chart is printed on {' or '.join(_PAGES)}")
    inches = QPageSize(_PAGES[page]).size(QPageSize.Unit.Inch)
    return int(inches.height() * _PX_PER_INCH), int(inches.width() * _PX_PER_INCH)


def _page_id(width_px: int) -> QPageSize.PageSizeId:
    return next(id for name, id in _PAGES.items() if _page_px(name)[0] == width_px)


def _buffer() -> tuple[QBuffer, QByteArray]:
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    return buffer, data


_WRITERS: dict[str, Callable[[Sheet], bytes]] = {"png": _png, "svg": _svg, "pdf": _pdf}

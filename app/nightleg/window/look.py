"""The window's colours and style, from the chart's theme: one typeface, quiet panels, one ink for what matters."""

from __future__ import annotations

from msgspec import Struct
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QWidget

from nightleg.chart.fonts import FAMILY
from nightleg.chart.themes import THEMES, Theme


class Look(Struct, frozen=True):
    """Colours of the window ("#RRGGBB"): the chart's roles, and those of panels and fields between them."""

    panel: str
    field: str
    edge: str
    ink: str
    muted: str
    line: str
    fix: str
    chosen: str  # ground of a chosen row
    base_px: int = 14


def look(theme: Theme) -> Look:
    """The window's look in a theme of the chart."""
    c = theme.colours
    bright = theme.name == "paper"
    return Look(
        panel=mix(c["ground"], c["land"], 0.5),
        field="#FFFFFF" if bright else mix(c["ground"], "#000000", 0.35),
        edge=mix(c["graticule"], c["coast"], 0.35),
        ink=c["ink"],
        muted=c["muted"],
        line=c["line"],
        fix=c["fix"],
        chosen="#FFFFFF" if bright else mix(c["ground"], c["graticule"], 0.8),  # lighter than the panel about it
        base_px=round(theme.text_px * theme.scale),
    )


def inks(of: QWidget) -> Look:
    """The colours to paint a widget with by hand: those that its window wears. A style sheet spoils its palette."""
    worn = getattr(of.window(), "worn", None)
    return worn if isinstance(worn, Look) else look(THEMES["paper"])


def grown(of: QWidget) -> float:
    """How many times larger than usual the type of its window is: what is painted by hand grows with it."""
    return inks(of).base_px / 14.0


def mix(one: str, other: str, share: float) -> str:
    """A colour between two, `share` of the way to the other."""
    parts = [round(int(one[i : i + 2], 16) * (1.0 - share) + int(other[i : i + 2], 16) * share) for i in (1, 3, 5)]
    return "#{:02X}{:02X}{:02X}".format(*parts)


def palette(of: Look) -> QPalette:
    """The palette for what the style sheet does not reach, such as selections and placeholders."""
    made = QPalette()
    roles = {
        QPalette.ColorRole.Window: of.panel,
        QPalette.ColorRole.Base: of.field,
        QPalette.ColorRole.AlternateBase: of.panel,
        QPalette.ColorRole.Text: of.ink,
        QPalette.ColorRole.WindowText: of.ink,
        QPalette.ColorRole.ButtonText: of.ink,
        QPalette.ColorRole.Button: of.panel,
        QPalette.ColorRole.Highlight: of.line,
        QPalette.ColorRole.HighlightedText: of.field,
        QPalette.ColorRole.PlaceholderText: of.muted,
        QPalette.ColorRole.ToolTipBase: of.field,
        QPalette.ColorRole.ToolTipText: of.ink,
        QPalette.ColorRole.Mid: of.edge,
        QPalette.ColorRole.Dark: of.edge,
        QPalette.ColorRole.Light: of.field,
    }
    for role, colour in roles.items():
        made.setColor(role, QColor(colour))
    return made


def style_sheet(of: Look) -> str:
    """The style sheet of the whole window. Labels say what they are by the property `kind`."""
    px, small = of.base_px, round(of.base_px * 13 / 14)
    return f"""
* {{ font-family: "{FAMILY}"; font-size: {px}px; color: {of.ink}; }}
QMainWindow, QWidget#page, QWidget#side, QScrollArea, QWidget#header, QWidget#foot {{ background: {of.panel}; }}
QWidget#header {{ border-bottom: 1px solid {of.edge}; }}
QWidget#side {{ border-left: 1px solid {of.edge}; }}
QWidget#foot {{ border-top: 1px solid {of.edge}; border-bottom: 1px solid {of.edge}; }}
QScrollArea {{ border: none; border-left: 1px solid {of.edge}; }}
QFrame#rule {{ background: {of.edge}; border: none; }}
QLabel {{ background: transparent; }}
QLabel[kind="muted"], QLabel[kind="caption"] {{ color: {of.muted}; }}
QLabel[kind="caption"] {{ font-size: {small}px; max-height: {small + 4}px; }}
QLabel[kind="row"] {{ font-size: {small}px; max-height: {small + 4}px; }}
QLabel[kind="row strong"] {{ font-size: {small}px; max-height: {small + 4}px; font-weight: bold; }}
QLabel[kind="title"] {{ font-size: {round(px * 8 / 7)}px; font-weight: bold; }}
QLabel[kind="strong"] {{ font-weight: bold; }}
QLabel[kind="date"] {{ color: {of.muted}; font-size: {small}px; }}
QLabel[kind="clock"] {{ font-size: {px + 14}px; font-weight: bold; }}
QLabel[kind="figure"] {{ font-size: {round(px * 8 / 7)}px; font-weight: bold; }}
QLabel[kind="line"] {{ font-size: {round(px * 10 / 7)}px; font-weight: bold; color: {of.line}; }}
QLabel[kind="fix"] {{ font-size: {round(px * 8 / 7)}px; font-weight: bold; color: {of.fix}; }}
QLabel[kind="wrong"] {{ color: {of.fix}; font-weight: bold; }}
QLabel#told {{ background: {of.panel}; border-top: 1px solid {of.edge}; }}
QLabel[kind="caution"] {{ color: {of.ink}; border: 2px solid {of.fix}; padding: 4px 7px; font-weight: bold; }}
QLineEdit, QComboBox {{ background: {of.field}; border: 1px solid {of.edge}; border-radius: 3px;
  padding: 4px 7px; min-height: {px + 8}px; selection-background-color: {of.line}; selection-color: {of.field}; }}
QLineEdit {{ placeholder-text-color: {of.muted}; }}
QLineEdit[small="true"], QComboBox[small="true"] {{ padding: 2px 7px; min-height: {px + 4}px; }}
QLineEdit[small="true"]:focus, QComboBox[small="true"]:focus {{ padding: 1px 6px; }}
QLineEdit[figure="true"] {{ font-size: {round(px * 8 / 7)}px; }}
QLineEdit:focus, QComboBox:focus {{ border: 2px solid {of.line}; padding: 3px 6px; }}
QLineEdit[wrong="true"] {{ border: 2px solid {of.fix}; padding: 3px 6px; }}
QLineEdit[cell="true"], QLineEdit[cell="true"]:focus {{ padding: 0px 6px; min-height: 0px; border-radius: 0px; }}
QLabel#words {{ background: {of.field}; color: {of.fix}; border: 2px solid {of.fix}; padding: 4px 7px; }}
QToolButton {{ background: transparent; border: none; color: {of.muted}; padding: 1px 7px; font-size: {small}px; }}
QToolButton#remove {{ padding: 1px 3px; }}
QToolButton:hover {{ color: {of.ink}; }}
QToolButton:checked {{ color: {of.ink}; font-weight: bold; border-bottom: 2px solid {of.line}; padding-bottom: 0px; }}
QToolButton::menu-indicator {{ image: none; width: 0px; }}
QComboBox:disabled {{ color: {of.muted}; background: {of.panel}; }}
QComboBox::drop-down {{ border: none; width: 18px; }}
QComboBox::down-arrow {{ image: none; }}
QComboBox[kind="title"] {{ font-size: {round(px * 8 / 7)}px; font-weight: bold; background: transparent;
  border: 1px solid transparent; padding: 0px 2px; min-height: {px + 6}px; }}
QComboBox[kind="title"]:hover {{ border: 1px solid {of.edge}; }}
QComboBox[kind="title"]:focus {{ border: 1px solid {of.line}; padding: 0px 2px; }}
QAbstractItemView {{ background: {of.field}; border: 1px solid {of.edge}; outline: none;
  selection-background-color: {of.line}; selection-color: {of.field}; }}
QPushButton {{ background: {of.field}; border: 1px solid {of.edge}; border-radius: 3px; padding: 4px 14px; }}
QPushButton:focus {{ border: 2px solid {of.line}; padding: 3px 13px; }}
QPushButton#fold, QPushButton#fold:focus {{ background: {of.panel}; border: none; border-top: 1px solid {of.edge};
  border-radius: 0px; padding: 5px 18px; text-align: left; font-weight: bold; }}
QPushButton#fold:focus {{ color: {of.line}; }}
QPushButton:disabled {{ color: {of.muted}; background: {of.panel}; }}
QTableView {{ background: {of.panel}; border: none; gridline-color: {of.panel};
  selection-background-color: {of.chosen}; selection-color: {of.ink}; }}
QTableView::item {{ padding-left: 8px; border: none; }}
QTableView:focus {{ border: 1px solid {of.line}; }}
QHeaderView, QHeaderView::section {{ background: {of.panel}; color: {of.muted}; border: none; padding: 3px 8px;
  font-size: {small}px; font-weight: normal; }}
QMenuBar, QMenu {{ background: {of.panel}; }}
QMenuBar {{ border-bottom: 1px solid {of.edge}; }}
QMenuBar::item {{ padding: 3px 10px; background: transparent; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {of.line}; color: {of.field}; }}
QMenu {{ border: 1px solid {of.edge}; }}
QMenu::item {{ padding: 4px 24px; }}
QMenu::item:disabled {{ color: {of.muted}; }}
QMenu::separator {{ height: 1px; background: {of.edge}; margin: 4px 8px; }}
QSplitter::handle {{ background: {of.edge}; }}
QScrollBar {{ background: {of.panel}; border: none; }}
QScrollBar:vertical {{ width: 10px; }}
QScrollBar:horizontal {{ height: 10px; }}
QScrollBar::handle {{ background: {of.edge}; border-radius: 4px; min-height: 24px; min-width: 24px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QToolTip {{ background: {of.field}; color: {of.ink}; border: 1px solid {of.edge}; }}
QDialog {{ background: {of.panel}; border: 1px solid {of.edge}; }}
QFrame#strip {{ background: {of.field}; border: none; border-left: 5px solid {of.line};
  border-bottom: 1px solid {of.edge}; }}
QPlainTextEdit {{ background: {of.field}; border: 1px solid {of.edge}; padding: 6px;
  selection-background-color: {of.line}; selection-color: {of.field}; }}
QPushButton:default {{ border: 1px solid {of.line}; }}
QPushButton:pressed {{ background: {of.panel}; }}
QPushButton[kind="fold"] {{ background: transparent; border: 1px solid {of.edge}; border-radius: 3px;
  color: {of.muted}; padding: 1px 6px; }}
QPushButton[kind="fold"]:hover {{ color: {of.ink}; }}
QPushButton[kind="fold"]:checked {{ color: {of.ink}; background: {of.field}; border: 1px solid {of.edge}; }}
QPushButton[kind="fold"]:focus {{ border: 1px solid {of.line}; }}
QLineEdit:read-only {{ background: {of.panel}; }}
QLabel[number="true"]:hover {{ text-decoration: underline; }}
QLabel[number="true"]:focus {{ background: {of.line}; color: {of.field}; }}
QScrollArea#plain {{ border: none; }}
QWidget#sheet {{ background: {of.panel}; border-left: 1px solid {of.edge}; }}
QTextBrowser {{ background: {of.panel}; border: 1px solid transparent; font-size: {small}px;
  selection-background-color: {of.line}; selection-color: {of.field}; }}
QTextBrowser:focus {{ border: 1px solid {of.line}; }}
QCheckBox {{ spacing: 5px; font-size: {small}px; }}
QCheckBox:focus {{ text-decoration: underline; }}
QCheckBox:disabled {{ color: {of.muted}; }}
"""

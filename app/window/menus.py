"""The two menus of the strip, and the keys of the whole window."""

from collections.abc import Callable, Mapping
from functools import partial

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

from app.settings.values import THEMES, Settings
from app.window.theme import BASE_PX, font
from app.words.display import UNIT_SYMBOLS
from app.words.terms import look_names

Acts = Mapping[str, Callable[[], None]]


def job_menu(parent: QWidget, acts: Acts) -> QMenu:
    """Make the menu of the job."""
    tr = parent.tr
    menu = _menu(parent, tr("Job"))
    for name, text, key in (
        ("gauge", tr("Choose the gauge …"), "Ctrl+G"),
        ("job", tr("The job …"), "Ctrl+J"),
        ("safety", tr("Safety"), "F1"),
        ("", "", ""),
        ("pressure-test", tr("Pressure test …"), "Ctrl+P"),
        ("blank-off", tr("Blank-off test …"), "Ctrl+B"),
        ("", "", ""),
        ("open", tr("Go on with a job …"), "Ctrl+O"),
        ("report", tr("Report …"), "Ctrl+R"),
        ("finish", tr("Finish this job"), ""),
        ("second-place", tr("Second place for jobs …"), ""),
        ("settings", tr("Settings …"), "Ctrl+,"),
        ("", "", ""),
        ("quit", tr("Close the window"), "Ctrl+Q"),
    ):
        if not name:
            menu.addSeparator()
            continue
        action = menu.addAction(text, acts[name])
        if key:
            action.setShortcut(QKeySequence(key))
            parent.addAction(action)  # so that the key works while the menu is closed
        action.setObjectName(name)
    return menu


def view_menu(
    parent: QWidget,
    settings: Settings,
    set_unit: Callable[[str], None],
    set_theme: Callable[[str], None],
    set_sound: Callable[[bool], None],
    full_screen: Callable[[], None],
) -> QMenu:
    """Make the menu of units, look and sound."""
    tr = parent.tr
    menu = _menu(parent, tr("View"))
    units = [(unit, symbol) for unit, symbol in UNIT_SYMBOLS.items()]
    _choices(menu, units, settings.unit, set_unit)
    menu.addSeparator()
    names = look_names(QCoreApplication.translate)
    _choices(menu, [(theme, names[theme]) for theme in THEMES], settings.theme, set_theme)
    menu.addSeparator()
    sound = menu.addAction(tr("Sound"))
    sound.setObjectName("sound")
    sound.setCheckable(True)
    sound.setChecked(settings.sound)
    sound.triggered.connect(set_sound)
    action = menu.addAction(tr("Full screen"), full_screen)
    action.setShortcut(QKeySequence("F11"))
    parent.addAction(action)
    return menu


def add_cycling_keys(
    parent: QWidget,
    settings: Callable[[], Settings],
    set_unit: Callable[[str], None],
    set_theme: Callable[[str], None],
) -> None:
    """Let Ctrl+U go to the next unit and Ctrl+T to the next theme."""

    def following(values: tuple[str, ...], value: str) -> str:
        return values[(values.index(value) + 1) % len(values)]

    for key, act in (
        ("Ctrl+U", lambda: set_unit(following(tuple(UNIT_SYMBOLS), settings().unit))),
        ("Ctrl+T", lambda: set_theme(following(THEMES, settings().theme))),
    ):
        action = QAction(parent)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(act)
        parent.addAction(action)


def _menu(parent: QWidget, title: str) -> QMenu:
    menu = QMenu(title, parent)
    menu.setFont(font(BASE_PX))
    menu.setToolTipsVisible(True)
    return menu


def _choices(
    menu: QMenu, choices: list[tuple[str, str]], chosen: str, choose: Callable[[str], None]
) -> None:
    group = QActionGroup(menu)
    for value, text in choices:
        action = menu.addAction(text, partial(choose, value))
        action.setCheckable(True)
        action.setChecked(value == chosen)
        action.setData(value)
        group.addAction(action)


def tick(menu: QMenu, settings: Settings) -> None:
    """Tick what holds now."""
    for action in menu.actions():
        if action.data() in (settings.unit, settings.theme):
            action.setChecked(True)
        elif action.objectName() == "sound":
            action.setChecked(settings.sound)

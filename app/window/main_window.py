"""The one window: lays its parts out and shows screens. It decides nothing."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.screen.shown import Alarm, Screen
from app.settings.keeper import SettingsKeeper
from app.window import menus
from app.window.awake import Awake
from app.window.banner import Banner
from app.window.charts_area import ChartsArea
from app.window.dialogs import Dialogs
from app.window.feed import Feed
from app.window.hold_panel import HoldPanel
from app.window.icons import icon
from app.window.mark_bar import MarkBar
from app.window.next_panel import NextPanel
from app.window.notice_line import NoticeLine
from app.window.outside import Outside
from app.window.passages import PassagesDialog
from app.window.state_strip import StateStrip
from app.window.theme import BASE_PX, font, palette_named, style_sheet
from app.window.verdict_bar import VerdictBar
from app.window.warning_box import warn

if TYPE_CHECKING:
    from analysis.snapshot import Snapshot
    from app.live.run import Step
    from app.screen.presenter import Presenter
    from app.window.charts_pen import ChartsPen

LEAST_PX = (1000, 560)  # a screen of 1024 x 600 less a task bar
BACKUP_WITHIN_S = 30.0  # longest wait for the second place when the window is closed


class MainWindow(QWidget):
    """Meets the presenter's ``View``.

    Parameters
    ----------
    settings
        Read and changed by the view menu.
    """

    def __init__(self, settings: SettingsKeeper) -> None:
        super().__init__()
        QApplication.setFont(font(BASE_PX))
        self.settings = settings
        self.palette_now = palette_named(settings.value.theme)
        self.screen_now = Screen(verdict=self.tr("Simmerdown is starting."))
        self.feed = Feed(self.tell, self)
        self._presenter: Presenter | None = None
        self._pen: ChartsPen | None = None
        self._awake = Awake()
        self._outside = Outside(self, lambda: self.settings.value.sound)
        self.setWindowTitle("Simmerdown")
        self.resize(1280, 720)
        # A scaled screen may have less: what is pressed together can be read, what is cut not.
        self.setMinimumSize(QSize(*LEAST_PX).boundedTo(self.screen().availableSize()))
        self.dialogs = Dialogs(self, self._acts)
        self._make_parts()
        self._lay_out()
        self._paint()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # Tab goes to what can be pressed
        self.setFocus()  # on no button: a stray key does nothing

    # Parts

    def _make_parts(self) -> None:
        tr = self.tr
        acts: dict[str, Callable[[], None]] = {
            "gauge": self.dialogs.gauge,
            "job": self.dialogs.job,
            "pressure-test": self.dialogs.pressure_test,
            "blank-off": self.dialogs.blank_off,
            "safety": self._on_safety,
            "open": self.dialogs.open_job,
            "report": lambda: self._acts().make_report(),
            "finish": self._on_finish,
            "second-place": lambda: self.dialogs.second_place(self.settings),
            "settings": lambda: self.dialogs.settings(self.settings, self.change_settings),
            "quit": self._on_quit,
        }
        self.job_menu = menus.job_menu(self, acts)
        self.view_menu = menus.view_menu(
            self,
            self.settings.value,
            self.set_unit,
            self.set_theme,
            lambda is_on: self.change_settings({"sound": is_on}),
            self._on_full_screen,
        )
        menus.add_cycling_keys(self, lambda: self.settings.value, self.set_unit, self.set_theme)
        self.strip = StateStrip(self.job_menu, self.view_menu)
        self.notice = NoticeLine()
        self.verdict = VerdictBar(self._on_why)
        self.charts = ChartsArea()
        self.next = NextPanel(self._acts, self.dialogs.gauge, self._on_safety, self.dialogs.job)
        self.hold = HoldPanel(self._acts)
        self.marks = MarkBar(self._acts)
        self.banner = Banner(self, lambda: self._acts().dismiss(), lambda: self._acts().hold_now())
        self.why = PassagesDialog(tr("Why?"), self)
        self.safety = PassagesDialog(tr("Before you start"), self)

    def _lay_out(self) -> None:
        self._side = QStackedWidget()
        self._side.addWidget(self.next)
        self._side.addWidget(self.hold)
        self._side.setFixedWidth(392)
        middle = QHBoxLayout()
        middle.setSpacing(8)
        middle.addWidget(self.charts, 1)
        middle.addWidget(self._side)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 8)
        column.setSpacing(8)
        column.addWidget(self.strip)
        column.addWidget(self.notice)
        column.addWidget(self.verdict, 10)
        column.addLayout(middle, 36)
        column.addWidget(self.marks)
        self.verdict.setMinimumHeight(118)

    def _acts(self) -> "Presenter":
        if self._presenter is None:
            raise RuntimeError("a button was pressed before there was anybody to act")
        return self._presenter

    # The presenter's view

    def attach(self, presenter: "Presenter", pen: "ChartsPen") -> None:
        """Come alive."""
        self._presenter, self._pen = presenter, pen

    def show(self, screen: Screen | None = None) -> None:
        """Show a screen; without one, the window itself (Qt's own meaning)."""
        if screen is None:
            super().show()
            return
        self.screen_now = screen
        palette = self.palette_now
        for part in (self.strip, self.verdict, self.next, self.marks, self.charts):
            part.show_screen(screen, palette)
        self.hold.show_hold(screen.hold, palette)
        self._side.setCurrentWidget(self.next if screen.hold.page == "none" else self.hold)
        self.banner.show_alarm(screen.alarm, palette)
        if screen.alarm is None:
            self._outside.stop()
        self.dialogs.show_screen(screen)
        for action in self.job_menu.actions():
            if action.objectName() in ("pressure-test", "blank-off"):  # each adds to the job
                action.setEnabled(screen.can_fill_in)
            elif action.objectName() == "job":  # a damaged one can be looked at
                action.setEnabled(screen.phase != "opening")
        if self.why.isVisible():
            self.why.passages.show_passages(screen.why)
        if screen.phase == "running":
            self._awake.hold()
        else:
            self._awake.let_go()

    def draw(self, step: "Step") -> None:
        """Put what happened on the charts."""
        if self._pen is not None:
            self._pen.draw(step)

    def refresh(self, snapshot: "Snapshot", flat_interval_s: float) -> None:
        """Bring the charts up to the moment."""
        if self._pen is not None:
            self._pen.refresh(snapshot, flat_interval_s)

    def clear(self) -> None:
        """Empty the charts."""
        if self._pen is not None:
            self._pen.clear()

    def alarm(self, alarm: Alarm) -> None:
        """Be heard, and seen outside the window."""
        self._outside.alarm(alarm)

    def tell(self, text: str) -> None:
        """Show one line until it is closed."""
        self.notice.tell(text)

    # What the technician does

    def set_unit(self, unit: str) -> None:
        """Write pressures in another unit."""
        self.change_settings({"unit": unit})

    def set_theme(self, theme: str) -> None:
        """Take another look."""
        self.change_settings({"theme": theme})

    def change_settings(self, values: Mapping[str, Any]) -> None:
        """Keep some settings, and heed them at once where they count at once."""
        is_kept = self.settings.change(**values)
        settings = self.settings.value
        menus.tick(self.view_menu, settings)
        if "unit" in values and self._pen is not None:
            self._pen.set_unit(settings.unit)
        if "theme" in values:
            self.palette_now = palette_named(settings.theme)
            self._paint()
        if self._presenter is not None:
            later = self._presenter.take_settings(values)
            if later and is_kept:  # else what was told of the file is to be read
                self.tell(later)

    def _paint(self) -> None:
        palette = self.palette_now
        self.setStyleSheet(style_sheet(palette))
        for part in (self.notice, self.next, self.marks):
            part.paint_with(palette)
        self.setWindowIcon(icon("simmerdown", palette.text, 64))
        if self._pen is not None:
            self._pen.set_palette(palette)
        self.show(self.screen_now)

    def _on_why(self) -> None:
        self.why.passages.show_passages(self.screen_now.why)
        self.why.show()
        self.why.raise_()

    def _on_safety(self) -> None:
        self.safety.passages.show_passages(self._acts().safety())
        self.safety.show()
        self.safety.raise_()

    def _on_finish(self) -> None:
        self.dialogs.finish()

    def _on_quit(self) -> None:
        self.window().close()

    def _on_full_screen(self) -> None:
        top = self.window()
        if top.isFullScreen():
            top.showNormal()
        else:
            top.showFullScreen()

    # Beginning and end

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Save first; nothing that was measured is lost by closing."""
        if self._presenter is not None:
            if not self.dialogs.may_let_go():
                event.ignore()
                return
            self.feed.stop()
            is_one_open = self._presenter.session.run is not None
            self._presenter.session.close()
            self._presenter.report.close()
            if is_one_open:
                self._presenter.keep_second_copy()
            self._wait_for_second_copy(self._presenter)
        self._outside.close()
        self._awake.let_go()
        self.why.close()
        self.safety.close()
        super().closeEvent(event)

    def _wait_for_second_copy(self, presenter: "Presenter") -> None:
        if why_not := presenter.backup.wait(BACKUP_WITHIN_S):
            warn(self, self.tr("No second copy"), why_not)

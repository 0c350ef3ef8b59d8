"""Choosing the gauge: kept under a name, found, typed; or a recording, or a simulation."""

from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QRadioButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.gauge.check import GaugeCheck
from app.gauge.listen_desk import ListenDesk
from app.gauge.profiles import profile_names
from app.gauge.search_desk import SearchDesk
from app.live.opening import PROFILE, check_second, plain_address, second_sensor_at, sensor_at
from app.system.errors import UsageError
from app.window.answers import Answers
from app.window.buttons import TouchButton
from app.window.check_dialog import CheckDialog
from app.window.found_page import FoundPage
from app.window.kept_page import KeptPage
from app.window.labels import SentenceLabel
from app.window.listen_dialog import ListenDialog
from app.window.room import open_at
from app.window.second_gauge import SecondGauge
from app.window.sensor_pages import (
    AddressPage,
    ReplayPage,
    SerialPage,
    SimPage,
    TypedPage,
)
from app.window.theme import BASE_PX, font
from app.words.sentences import Words
from sensors.address import parse_address
from sensors.events import SensorError


class SensorDialog(QDialog):
    """Makes an address; accepted only when it is a right one.

    Parameters
    ----------
    address
        The last choice, shown first.
    unit
        In which what is heard is written.
    search
        Finds what is in reach.
    at_pump
        The last choice of the second gauge, at the pump; ``None`` where that one itself is chosen.
    """

    def __init__(
        self,
        address: str = "",
        parent: QWidget | None = None,
        *,
        unit: str = "micron",
        search: SearchDesk | None = None,
        at_pump: str | None = "",
    ) -> None:
        super().__init__(parent)
        self._unit = unit
        self.setWindowTitle(self.tr("Choose the gauge"))
        self.pages: dict[str, AddressPage] = {
            "kept": KeptPage(address, unit),
            "found": FoundPage(search),
            "serial": SerialPage(),
            "typed": TypedPage("" if address.startswith(PROFILE) else address),
            "replay": ReplayPage(*_parts_of(address, "replay")),
            "sim": SimPage(*_parts_of(address, "sim")),
        }
        column = QVBoxLayout(self)
        column.addLayout(self._choices())
        column.addWidget(self._stack, 1)
        self._line = SentenceLabel()
        self._line.setFont(font(BASE_PX - 1))
        self._line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(self._line)
        self.second = SecondGauge(at_pump or "", self._choose_second)
        self.second.changed_to(self._on_change)
        self.second.setVisible(at_pump is not None)
        column.addWidget(self.second)
        column.addLayout(self._last_row())
        self._kinds.idClicked.connect(self._on_kind)
        self._choose(_kind_of(address))
        open_at(self, max(860, self.sizeHint().width()), self.sizeHint().height())

    def _choices(self) -> QGridLayout:
        names = {
            "kept": self.tr("Gauge kept under a name (profile)"),
            "found": self.tr("Whatever is in reach"),
            "serial": self.tr("Gauge on a serial port or USB"),
            "typed": self.tr("Gauge at a typed address"),
            "replay": self.tr("Replay a recording"),
            "sim": self.tr("Simulated circuit (invented)"),
        }
        self._kinds = QButtonGroup(self)
        self._stack = QStackedWidget()
        grid = QGridLayout()
        self.choices: dict[str, QRadioButton] = {}
        for index, (kind, page) in enumerate(self.pages.items()):
            choice = QRadioButton(names[kind])
            choice.setFont(font(BASE_PX + 1, bold=True))
            self._kinds.addButton(choice, index)
            self.choices[kind] = choice
            self._stack.addWidget(page)
            page.changed_to(self._on_change)
            grid.addWidget(choice, index // 2, index % 2)  # two columns: for low screens
        return grid

    def _last_row(self) -> QHBoxLayout:
        self.listen = TouchButton(self.tr("Listen to it first …"), self._on_listen)
        self.check = TouchButton(self.tr("Check the gauge …"), self._on_check)
        self.buttons = Answers(self, self.accept, self.tr("Read this gauge"))
        row = QHBoxLayout()  # all in one: for low screens
        row.addWidget(self.listen)
        row.addWidget(self.check)
        row.addStretch()
        row.addWidget(self.buttons)
        return row

    @property
    def address(self) -> str:
        """The address as chosen so far."""
        return list(self.pages.values())[self._stack.currentIndex()].address()

    @property
    def at_pump(self) -> str:
        """The address of the second gauge as chosen so far; empty for none."""
        return self.second.address

    def accept(self) -> None:
        """Take the choice if it can be opened, else say why not and stay."""
        try:
            sensor_at(self.address)
            if self.at_pump:
                second_sensor_at(self.at_pump, self.address)
        except UsageError as error:
            self._line.tell(str(error))
        else:
            super().accept()

    def _choose_second(self, address: str, take: Callable[[str], None]) -> None:
        dialog = SensorDialog(address, self, unit=self._unit, at_pump=None)
        dialog.setWindowTitle(self.tr("Choose the second gauge, at the pump"))
        dialog.accepted.connect(lambda: take(dialog.address))
        dialog.open()

    def _choose(self, kind: str) -> None:
        self.choices[kind].setChecked(True)
        self.choices[kind].setFocus()  # keys go on from what is chosen
        self._on_kind(list(self.pages).index(kind))

    def _on_kind(self, index: int) -> None:
        self._stack.setCurrentIndex(index)
        self._on_change()

    def take(self, address: str) -> None:
        """Choose a gauge that is kept, or a typed address."""
        kept, typed = self.pages["kept"], self.pages["typed"]
        assert isinstance(kept, KeptPage)
        assert isinstance(typed, TypedPage)
        if address.startswith(PROFILE):
            kept.fill(address.removeprefix(PROFILE))
            self._choose("kept")
        else:
            typed.line.setText(address)
            self._choose("typed")

    def _on_listen(self) -> None:
        words = Words(unit=self._unit, translate=QCoreApplication.translate)
        try:
            desk = ListenDesk(plain_address(self.address), words)
        except UsageError as error:
            self._line.tell(str(error))
            return
        dialog = ListenDialog(desk, self)
        dialog.accepted.connect(lambda: self.take(dialog.taken))
        dialog.open()

    def _on_check(self) -> None:
        try:
            check = GaugeCheck(self.address)
        except UsageError as error:
            self._line.tell(str(error))
            return
        dialog = CheckDialog(check, self._unit, self)
        dialog.accepted.connect(lambda: self.take(dialog.address))
        dialog.open()

    def _on_change(self) -> None:
        address = self.address
        try:
            gauge = plain_address(address)
        except UsageError as error:
            gauge, text = "", str(error)
        else:
            text = self.tr("Address: {address}").format(address=gauge)
        if not address:
            text = self.tr("Nothing chosen yet.")
        why_not = self._why_not_second(address) if gauge else ""
        self._line.setText(why_not or text)
        self.buttons.yes.setEnabled(bool(gauge) and not why_not)
        is_gauge = bool(gauge) and not gauge.startswith(("sim:", "replay:"))
        self.check.setEnabled(is_gauge)
        self.listen.setEnabled(gauge.startswith(("serial:", "tcp:")))

    def _why_not_second(self, address: str) -> str:
        if not self.second.is_wanted or not address:
            return ""
        if not self.at_pump:
            return self.tr("The second gauge, at the pump, has no address yet.")
        try:
            check_second(self.at_pump, address)
        except UsageError as error:
            return str(error)
        return ""


def _kind_of(address: str) -> str:
    if address.startswith(PROFILE) or (not address and profile_names()):
        return "kept"
    kind = address.partition(":")[0]
    if kind in ("sim", "replay"):
        return kind
    return "typed" if address else "serial"


def _parts_of(address: str, kind: str) -> tuple[str, str]:
    """Give target and speed of an address of this kind, else nothing."""
    try:
        parsed = parse_address(address)
    except SensorError:
        return "", ""
    return (parsed.target, parsed.options.get("speed", "")) if parsed.kind == kind else ("", "")

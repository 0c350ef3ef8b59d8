"""Lists to choose from while they are filled anew, and by the keyboard."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.gauge.profiles import Profile, save_profile
from app.gauge.search import Found, Gone, Tell
from app.gauge.search_desk import SearchDesk
from app.window.found_page import FoundPage
from app.window.kept_page import KeptPage
from app.window.sensor_dialog import SensorDialog


def test_what_tab_makes_current_is_seen_to_be_chosen(qtbot: QtBot) -> None:
    for name in ("bench", "cart"):
        save_profile(Profile(name, "tcp:10.0.0.2:4001"))
    dialog = SensorDialog()
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.choices["kept"].hasFocus)
    assert dialog.address == ""
    page = dialog.pages["kept"]
    assert isinstance(page, KeptPage)
    QTest.keyClick(dialog.choices["kept"], Qt.Key.Key_Tab)
    assert page.kept.hasFocus()
    assert dialog.address == "profile:bench"
    assert [item.text().splitlines()[0] for item in page.kept.selectedItems()] == ["bench"]
    dialog.reject()


def test_a_search_that_fails_says_so_and_can_be_begun_again(qtbot: QtBot) -> None:
    faults = [OSError("the bus is gone")]

    async def search(tell: Tell) -> None:
        if faults:
            raise faults.pop()
        tell(Found("serial:/dev/ttyUSB7", "adapter"))

    dialog = SensorDialog("sim:wet", search=SearchDesk(search))
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.choices["found"].click()
    page = dialog.pages["found"]
    assert isinstance(page, FoundPage)
    qtbot.waitUntil(lambda: "the bus is gone" in page.warning.text())
    dialog.choices["typed"].click()
    dialog.choices["found"].click()
    qtbot.waitUntil(lambda: page.found.count() == 1)
    assert page.warning.text() == ""
    dialog.reject()


def test_a_radio_that_tells_of_itself_does_not_move_the_list(qtbot: QtBot) -> None:
    async def search(tell: Tell) -> None:
        for number in range(30):
            tell(Found(f"ble:{number}", "gauge, -70 dBm"))

    desk = SearchDesk(search)
    dialog = SensorDialog("", search=desk)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.choices["found"].click()
    page = dialog.pages["found"]
    assert isinstance(page, FoundPage)
    qtbot.waitUntil(lambda: page.found.count() == 30)
    page.found.setCurrentRow(0)
    bar = page.found.verticalScrollBar()
    bar.setValue(bar.maximum())
    first = page.found.item(0)
    desk._news.put(Found("ble:0", "gauge, -60 dBm"))
    qtbot.waitUntil(lambda: "-60 dBm" in page.found.item(0).text())
    assert page.found.item(0) is first
    assert bar.value() == bar.maximum() > 0
    desk._news.put(Found("ble:31", "new"))
    qtbot.waitUntil(lambda: page.found.count() == 31)
    assert dialog.address == "ble:0"
    assert bar.value() > 0
    desk._news.put(Gone("ble:1"))
    qtbot.waitUntil(lambda: page.found.count() == 30)
    assert dialog.address == "ble:0"
    desk._news.put(Gone("ble:0"))
    qtbot.waitUntil(lambda: page.found.count() == 29)
    assert dialog.address == ""  # and not its neighbour
    dialog.reject()

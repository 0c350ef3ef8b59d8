"""The last row of a dialog: the button that takes what is in it, and Cancel."""

from collections.abc import Callable

from PySide6.QtWidgets import QDialog, QDialogButtonBox

from app.window.buttons import dress

Standard = QDialogButtonBox.StandardButton


class Answers(QDialogButtonBox):
    """Both buttons, fit for a glove; Cancel rejects the dialog.

    Parameters
    ----------
    dialog
        Whose answers they are.
    take
        Called by the first one.
    text
        What the first one says; it then stands out. Without it that is Qt's word for saving.

    Attributes
    ----------
    yes
        The first one.
    """

    def __init__(self, dialog: QDialog, take: Callable[[], None], text: str = "") -> None:
        first = Standard.Ok if text else Standard.Save
        super().__init__(first | Standard.Cancel)
        self.yes = self.button(first)
        if text:
            self.yes.setText(text)
            self.yes.setProperty("role", "main")
        dress(self)
        self.accepted.connect(take)
        self.rejected.connect(dialog.reject)

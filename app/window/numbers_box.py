"""A part of the job form with numbers in it, each in its own unit and within its own range."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QLineEdit, QWidget

from app.job.fields import JobFields
from app.window.labels import field_label
from app.window.numbers import shown_number, typed_number
from app.window.theme import BASE_PX, font


class NumbersBox(QWidget):
    """Edits numbers of a job, and tells of each change.

    Parameters
    ----------
    fields
        As they are.
    ranges
        Lowest and highest of each, by the field's name, in the field's unit.
    typed
        What one writes for one of the field's unit; 1 where left out.
    """

    changed = Signal()

    def __init__(
        self,
        fields: JobFields,
        ranges: Mapping[str, tuple[float, float]],
        typed: Mapping[str, float] | None = None,
    ) -> None:
        super().__init__()
        self._fields, self._ranges, self._typed = fields, ranges, typed or {}
        self.numbers = {name: QLineEdit() for name in ranges}
        for name, line in self.numbers.items():
            line.setText(shown_number(getattr(fields, name), self._typed.get(name, 1.0)))
            line.textChanged.connect(self._on_change)

    @property
    def is_right(self) -> bool:
        """Whether every number that is given can be."""
        return all(
            not line.text().strip() or self._number(name) is not None
            for name, line in self.numbers.items()
        )

    def _form(self, rows: Sequence[tuple[str, QWidget]]) -> QFormLayout:
        """Lay out the rows, each by what is written before it; "" for one that says it itself."""
        form = QFormLayout(self)
        for text, widget in rows:
            widget.setFont(font(BASE_PX))
            if text:
                widget.setAccessibleName(text)
                form.addRow(field_label(text, widget), widget)
            else:
                form.addRow(widget)
        return form

    def _number(self, name: str) -> float | None:
        """Give a number as the field holds it; ``None`` for none, or one that cannot be."""
        typed = typed_number(self.numbers[name].text())
        if typed is None:
            return None
        low, high = self._ranges[name]
        value = typed / self._typed.get(name, 1.0)
        return value if low <= value <= high else None

    def _on_change(self) -> None:
        self.changed.emit()

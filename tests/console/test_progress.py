"""How far a command is: one line written anew on a terminal, a few lines where nobody watches."""

import io
from typing import Any

from coordination.console.progress import Progress


class Screen(io.StringIO):
    """A terminal as Django's own output wrapper writes to it."""

    def write(self, text: str, ending: str = "") -> int:
        return super().write(text + ending)


def played(screen: Any) -> list[str]:
    lines: list[str] = []

    class Lines:
        def write(self, text: str) -> None:
            lines.append(text)

        def flush(self) -> None:
            pass

    progress = Progress(screen, "Laying", Lines())
    for done in range(201):
        progress.tell(done, 200, "files")
    progress.done("  done")
    return lines


def test_without_a_terminal_each_quarter_is_a_line() -> None:
    assert played(None) == [
        "Laying", "  50 of 200 files", "  100 of 200 files", "  150 of 200 files", "  200 of 200 files", "  done",
    ]  # fmt: skip


def test_on_a_terminal_one_line_is_written_anew() -> None:
    screen = Screen()
    assert played(screen) == ["Laying", "  done"]
    text = screen.getvalue()
    assert "\n" not in text
    assert text.count("\r") == 202
    assert "] 137 of 200 files" in text

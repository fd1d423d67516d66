"""A progress bar that is a line of text where nobody watches."""

from typing import Any, Protocol


class Writes(Protocol):
    def write(self, text: str, /) -> Any: ...


WIDTH = 32


class Progress:
    """``watched`` is a terminal or None; ``lines`` always gets the first and the last word."""

    def __init__(self, watched: Any, title: str, lines: Writes) -> None:
        self.watched, self.title, self.lines = watched, title, lines
        self.most = self.now = 0
        lines.write(f"Playing: {title}")

    def tell(self, satisfied: int, tasks: int) -> None:
        self.most, self.now = tasks, satisfied
        if self.watched is not None:
            filled = round(WIDTH * satisfied / max(tasks, 1))
            bar = "#" * filled + "." * (WIDTH - filled)
            self.watched.write(f"\r  [{bar}] {satisfied} of {tasks} tasks", ending="")
            self.watched.flush()

    def done(self) -> str:
        """The last line, which is written too."""
        line = f"  {self.title}: {self.now} of {self.most} tasks satisfied"
        if self.watched is not None:
            self.watched.write("")
        self.lines.write(line)
        return line

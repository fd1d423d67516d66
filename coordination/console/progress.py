"""A line that says what goes on and how far it has come; a few lines of text where nobody watches."""

from typing import Any, Protocol

from django.utils.translation import gettext as _


class Writes(Protocol):
    def write(self, text: str, /) -> Any: ...
    def flush(self) -> Any: ...


WIDTH = 32
QUARTERS = 4


class Progress:
    """``screen`` is a terminal or None. ``lines`` gets first and last word, and each quarter without a screen."""

    def __init__(self, screen: Any, title: str, lines: Writes) -> None:
        self.screen, self.title, self.lines = screen, title, lines
        self.most = self.now = self._quarter = 0
        self._say(title)

    def tell(self, now: int, most: int, what: str = "tasks") -> None:
        """So much of so much is done."""
        self.most, self.now = most, now
        if self.screen is not None:
            filled = round(WIDTH * now / max(most, 1))
            bar = "#" * filled + "." * (WIDTH - filled)
            self.screen.write(f"\r  [{bar}] {_far(now, most, what)}\033[K", ending="")
            self.screen.flush()
        elif (quarter := QUARTERS * now // max(most, 1)) > self._quarter:
            self._quarter = quarter
            self._say(f"  {_far(now, most, what)}")

    def done(self, line: str) -> str:
        """The last line, which is written too."""
        if self.screen is not None:
            self.screen.write("\r\033[K", ending="")
            self.screen.flush()
        self._say(line)
        return line

    def _say(self, line: str) -> None:
        self.lines.write(line)
        self.lines.flush()


def _far(now: int, most: int, what: str) -> str:
    return _("%(now)d of %(most)d %(what)s") % {"now": now, "most": most, "what": what}

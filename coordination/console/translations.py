"""The texts that are marked for translators, and the file that holds their Spanish.

gettext's own programs read and write (system package ``gettext``, wanted only by whoever translates or tests): Django's
``makemessages`` stops where a word is wanted alone in one place and with its plural in another ("day"), writes two
forms under a Spanish header that asks for three, and does not see what is marked inside an f-string. Here one entry
serves both, the header asks for two, and our code is read by Python itself.
"""

import ast
import re
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.utils.translation import templatize

KEYWORDS = (
    *("gettext", "gettext_lazy", "gettext_noop", "ngettext:1,2", "ngettext_lazy:1,2"),
    *("pgettext:1c,2", "pgettext_lazy:1c,2", "npgettext:1c,2,3", "npgettext_lazy:1c,2,3"),
)
FUNCTIONS = {word.split(":")[0] for word in KEYWORDS}


def messages_file() -> Path:
    """The Spanish of every marked text; the compiled file lies beside it."""
    return Path(settings.LOCALE_PATHS[0]) / "es" / "LC_MESSAGES" / "django.po"


def compiled_file() -> Path:
    return messages_file().with_suffix(".mo")


def sources() -> Iterator[Path]:
    """Every file that can hold a marked text: our code and our templates."""
    yield from sorted((settings.BASE_DIR / "coordination").rglob("*.py"))
    templates = settings.BASE_DIR / "templates"
    yield from sorted(path for path in templates.rglob("*") if path.suffix in {".html", ".txt"})


def marked_texts(folder: Path) -> Path:
    """A template (.pot) of every marked text, written in ``folder``."""
    names = [_readable(path, folder) for path in sources()]
    found = folder / "marked.pot"
    told = ["--language=Python", "--from-code=UTF-8", "--no-wrap", "--sort-by-file", "--add-location=file"]
    words = [f"--keyword={word}" for word in ("", "_", *KEYWORDS)]
    _run("xgettext", *told, *words, "--files-from=-", f"--output={found}", folder=folder, names=names)
    found.write_text(_without_guesses(found.read_text(encoding="utf-8")), encoding="utf-8")
    return found


def calls_of(code: str) -> str:
    """Every call of a translating function in ``code``, by its own name, one on each line."""
    tree = ast.parse(code)
    names = {
        each.asname or each.name: each.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == "django.utils.translation"
        for each in node.names
        if each.name in FUNCTIONS
    }
    called = (
        node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    )
    marking = [node for node in called if node.func.id in names]
    return "\n".join(f"{names[node.func.id]}({', '.join(map(ast.unparse, node.args))})" for node in marking)


def bring_up_to_date() -> list[str]:
    """Take in what is marked, let go what is not marked any more, compile; what has no Spanish comes back."""
    with tempfile.TemporaryDirectory() as name:
        marked = marked_texts(Path(name))
        told = ["--update", "--backup=none", "--no-fuzzy-matching", "--no-wrap", "--quiet"]
        _run("msgmerge", *told, str(messages_file()), str(marked))
        _run("msgattrib", "--no-obsolete", "--no-wrap", f"--output={messages_file()}", str(messages_file()))
        _run("msgfmt", "--check-format", f"--output-file={compiled_file()}", str(messages_file()))
    lacking = _run("msgattrib", "--untranslated", "--no-wrap", str(messages_file()))
    return re.findall(r'^msgid "(.+)"$', lacking, flags=re.MULTILINE)


def _readable(path: Path, folder: Path) -> str:
    """A copy of ``path`` under ``folder`` that xgettext reads as Python; its name there."""
    name = str(path.relative_to(settings.BASE_DIR))
    text = path.read_text(encoding="utf-8")
    copy = folder / name
    copy.parent.mkdir(parents=True, exist_ok=True)
    calls = calls_of(text) if path.suffix == ".py" else templatize(text, origin=name)
    copy.write_text(f"{calls}\n", encoding="utf-8")
    return name


def _without_guesses(text: str) -> str:
    """Marks of xgettext that are none: {lift} is filled from the word lists, "95 % confidence" is no format."""
    text = re.sub(r"^#(.*), python-brace-format", r"#\1", text, flags=re.MULTILINE)
    text = re.sub(r'^#, python-format\n(?=msgid "(?:[^%"]|% )*"$)', "", text, flags=re.MULTILINE)
    return re.sub(r"^#\n", "", text, flags=re.MULTILINE).replace("charset=CHARSET", "charset=UTF-8")


def _run(program: str, *told: str, folder: Path | None = None, names: list[str] | None = None) -> str:
    """What a program of gettext prints. Raises CalledProcessError with what it says on stderr."""
    given = "\n".join(names) if names else None
    done = subprocess.run(  # noqa: S603
        [program, *told], input=given, cwd=folder, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise subprocess.CalledProcessError(done.returncode, program, done.stdout, done.stderr)
    return done.stdout

"""`.ci/setup` on machines that lack something: each gets one clear message, and nothing is half done unsaid.

The machine is a folder of programs: real ones where they do no harm, small stand-ins for those that would install.
"""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
HARMLESS = ("sh", "dirname", "grep", "ls", "cat", "sed", "env", "ldconfig", "mkdir", "chmod", "cmp")
THERE = ("chromium", "pdftotext", "qpdf", "exiftool", "convert", "msgfmt", "javac")
GOOD_PYTHON = """#!/bin/sh
case "$*" in
    -m\\ venv*) mkdir -p .venv/bin; cp "$0" .venv/bin/python ;;
    -m\\ pip*) echo "pip $*" >>"$CALLS"; exit ${PIP_ENDS:-0} ;;
    -c*hashlib*) cat >/dev/null; echo 0123 ;;
esac
"""
OLD_PYTHON = """#!/bin/sh
[ "$1" = -V ] && echo "Python 3.9.2" && exit 0
exit 1
"""


class Machine:
    def __init__(self, folder: Path) -> None:
        self.programs, self.tree, self.calls = folder / "bin", folder / "tree", folder / "calls"
        (self.tree / ".ci").mkdir(parents=True)
        self.programs.mkdir()
        shutil.copy(ROOT / ".ci" / "setup", self.tree / ".ci")
        for name in ("requirements.txt", "package-lock.json"):
            shutil.copy(ROOT / name, self.tree)
        for name in (*HARMLESS, "cp"):
            where = shutil.which(name, path=f"{os.environ['PATH']}:/sbin:/usr/sbin")
            assert where, name
            (self.programs / name).symlink_to(where)
        for name in THERE:
            self.has(name)
        self.has("python3", GOOD_PYTHON)
        self.has("npm", "#!/bin/sh\nmkdir -p node_modules\n")
        self.has("id", "#!/bin/sh\necho 0\n")

    def has(self, name: str, script: str = "#!/bin/sh\n") -> None:
        path = self.programs / name
        path.write_text(script)
        path.chmod(0o755)

    def lacks(self, name: str) -> None:
        (self.programs / name).unlink()

    def setup(self, *arguments: str, **environment: str) -> tuple[int, str]:
        """Exit code and the last line that was said."""
        told = subprocess.run(
            [self.programs / "sh", ".ci/setup", *arguments],
            cwd=self.tree,
            env={"PATH": str(self.programs), "CALLS": str(self.calls), **environment},
            capture_output=True,
            text=True,
            check=False,
        )
        return told.returncode, (told.stdout + told.stderr).strip().rpartition("\n")[2]

    @property
    def called(self) -> list[str]:
        return self.calls.read_text().splitlines() if self.calls.exists() else []


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    return Machine(tmp_path)


def test_everything_is_there_the_second_time(machine: Machine) -> None:
    assert machine.setup()[0] == 0
    assert len(machine.called) == 1
    assert machine.setup() == (0, "")
    assert machine.setup("run") == (0, "")
    assert len(machine.called) == 1


def test_for_playing_only_the_application_is_installed(machine: Machine) -> None:
    for name in THERE:
        machine.lacks(name)
    assert machine.setup("run")[0] == 0
    wanted = (machine.tree / ".venv" / "wanted.txt").read_text()
    assert "Django==" in wanted
    assert "pytest" not in wanted


def test_without_the_npm_packages_the_rest_is_set_up_and_they_are_tried_again(machine: Machine) -> None:
    machine.has("npm", "#!/bin/sh\nexit 1\n")
    for _ in range(2):
        code, said = machine.setup()
        assert code == 0
        assert said.startswith("setup: npm could not install them;")


def test_no_python(machine: Machine) -> None:
    machine.lacks("python3")
    assert machine.setup() == (1, "setup: python3 is missing; install Python 3.11 or newer.")


def test_python_too_old(machine: Machine) -> None:
    machine.has("python3", OLD_PYTHON)
    assert machine.setup() == (1, "setup: Python 3.11 or newer is needed; python3 is Python 3.9.2.")


def test_no_apt(machine: Machine) -> None:
    machine.lacks("qpdf")
    assert machine.setup() == (
        1,
        "setup: there is no apt-get here. Install these with your own package manager, then run this again: qpdf",
    )


def test_neither_root_nor_sudo(machine: Machine) -> None:
    machine.lacks("qpdf")
    machine.has("apt-get")
    machine.has("id", "#!/bin/sh\necho 1000\n")
    assert machine.setup() == (
        1,
        "setup: run this as root, or install sudo, so that these can be installed: qpdf",
    )
    assert machine.called == []


def test_with_sudo(machine: Machine) -> None:
    machine.lacks("qpdf")
    machine.has("apt-get", '#!/bin/sh\necho "apt-get $*" >>"$CALLS"\n')
    machine.has("id", "#!/bin/sh\necho 1000\n")
    machine.has("sudo", '#!/bin/sh\necho sudo >>"$CALLS"\nexec "$@"\n')
    assert machine.setup()[0] == 0
    assert machine.called[:4] == [
        "sudo",
        "apt-get update -qq",
        "sudo",
        "apt-get install -y -qq --no-install-recommends qpdf",
    ]


def test_apt_without_a_network(machine: Machine) -> None:
    machine.lacks("qpdf")
    machine.has("apt-get", "#!/bin/sh\nexit 100\n")
    code, said = machine.setup()
    assert code == 1
    assert said.startswith("setup: apt-get could not install qpdf. What it says stands above: no network")


def test_pip_without_a_network_is_tried_again_the_next_time(machine: Machine) -> None:
    code, said = machine.setup(PIP_ENDS="1")
    assert code == 1
    assert said.startswith("setup: pip could not install requirements.txt.")
    assert machine.setup()[0] == 0
    assert len(machine.called) == 2

"""What is set for signing and cannot sign: named before any report is made, and no report goes out half signed."""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from coordination.console.checks import reports_can_be_signed
from coordination.paper.ordering import PaperError
from coordination.paper.signing import Signing, signed, unusable
from tests.handover.certificates import made_in

RIGHT_KEY = "Write the name of a private key in PEM without a password, readable by whoever runs this."
RIGHT_CERTIFICATE = "Write the name of a certificate in PEM, the company's own first."


def locked(folder: Path) -> tuple[Path, Path]:
    return made_in(folder, password=b"plumb line")


def over(folder: Path) -> tuple[Path, Path]:
    return made_in(folder, over=True)


def without_key(folder: Path) -> tuple[Path, Path]:
    key, certificate = made_in(folder)
    key.unlink()
    return key, certificate


def without_certificate(folder: Path) -> tuple[Path, Path]:
    key, certificate = made_in(folder)
    certificate.unlink()
    return key, certificate


def scribbled(folder: Path) -> tuple[Path, Path]:
    key, certificate = made_in(folder)
    certificate.write_bytes(b"\x00 no certificate")
    return key, certificate


def of_another(folder: Path) -> tuple[Path, Path]:
    (folder / "other").mkdir()
    return made_in(folder)[0], made_in(folder / "other")[1]


def swapped(folder: Path) -> tuple[Path, Path]:
    key, certificate = made_in(folder)
    return certificate, key


WRONG = [
    (without_key, "SILL_SIGNING_KEY", "key.pem cannot be read: No such file or directory.", RIGHT_KEY),
    (locked, "SILL_SIGNING_KEY", "key.pem is locked with a password.", RIGHT_KEY),
    (swapped, "SILL_SIGNING_KEY", "certificate.pem is no private key in PEM.", RIGHT_KEY),
    (
        without_certificate,
        "SILL_SIGNING_CERTIFICATE",
        "certificate.pem cannot be read: No such file or directory.",
        RIGHT_CERTIFICATE,
    ),
    (
        scribbled,
        "SILL_SIGNING_CERTIFICATE",
        "certificate.pem is no certificate in PEM.",
        RIGHT_CERTIFICATE,
    ),
    (
        of_another,
        "SILL_SIGNING_CERTIFICATE",
        "certificate.pem does not belong to the key key.pem.",
        "Put the certificate of this very key first in the file, those that vouch for it after it.",
    ),
]


@pytest.mark.parametrize(
    ("made", "told_of"),
    [(made, tuple(rest)) for made, *rest in WRONG],
    ids=lambda each: getattr(each, "__name__", ""),
)
def test_what_cannot_sign_is_named_with_what_would_be_right_and_signs_nothing(
    settings: Any, tmp_path: Path, made: Any, told_of: tuple[str, str, str]
) -> None:
    setting, what, right = told_of
    settings.SIGNING = made(tmp_path)
    [told] = reports_can_be_signed()
    assert (told.id, told.msg, told.hint) == (
        "console.W005",
        f"{setting}: {what} No report is made until this is right.",
        right,
    )
    with pytest.raises(PaperError) as refused:
        signed(b"%PDF-1.7", Signing(*settings.SIGNING))
    assert str(refused.value) == f"The report cannot be signed. {what} {right}"


def test_a_certificate_that_is_over_or_not_valid_yet_signs_nothing(settings: Any, tmp_path: Path) -> None:
    settings.SIGNING = over(tmp_path)
    [told] = reports_can_be_signed()
    assert told.msg.startswith("SILL_SIGNING_CERTIFICATE: certificate.pem is valid from ")
    assert told.hint == "Write the name of a certificate that is valid today."
    with pytest.raises(PaperError, match=r"certificate\.pem is valid from [-0-9]+ to [-0-9]+, not today"):
        signed(b"%PDF-1.7", Signing(*settings.SIGNING))
    now = datetime.now(UTC)
    good = Signing(*made_in(tmp_path))
    days = (-2, 0, 29, 31)
    found = [unusable(good, now + timedelta(days=day)) for day in days]
    assert [fault is None for fault in found] == [False, True, True, False]


def test_without_pyhanko_it_is_said_how_to_get_it(settings: Any, tmp_path: Path, monkeypatch: Any) -> None:
    settings.SIGNING = made_in(tmp_path)
    monkeypatch.setitem(sys.modules, "pyhanko", None)
    [told] = reports_can_be_signed()
    assert told.msg.startswith("SILL_SIGNING_KEY: A key for signing is set, but pyHanko is not installed.")
    assert "README, Signed reports" in (told.hint or "")
    with pytest.raises(PaperError, match="pyHanko is not installed"):
        signed(b"%PDF-1.7", Signing(*settings.SIGNING))


def test_what_can_sign_and_no_key_at_all_are_not_mentioned(settings: Any, tmp_path: Path) -> None:
    settings.SIGNING = made_in(tmp_path)
    assert reports_can_be_signed() == []
    settings.SIGNING = None
    assert reports_can_be_signed() == []

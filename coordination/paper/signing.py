"""A company's signature on a finished PDF: appended, so that every byte before it stays what it was.

Only where a key is set. The signature says who gave the file out; it is different each time, so what can be made
again byte for byte is the file before it. It needs pyHanko, which nothing else here does: it is loaded only then.
"""

from dataclasses import dataclass
from datetime import datetime
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from django.utils import timezone

from coordination.paper.ordering import PaperError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.types import PrivateKeyTypes, PublicKeyTypes
    from cryptography.x509 import Certificate

FIELD = "CompanySignature"


@dataclass(frozen=True)
class Signing:
    """Files in PEM: the private key without a password, and the certificate with those that vouch for it after it."""

    key: Path
    certificate: Path


@dataclass(frozen=True)
class Unusable:
    """Why nothing can be signed, of which part that is true, and what would be right."""

    part: Literal["key", "certificate", "program"]
    what: str
    right: str


class _CannotBeUsed(Exception):
    def __init__(self, part: Literal["key", "certificate", "program"], what: str, right: str) -> None:
        super().__init__(what)
        self.fault = Unusable(part, what, right)


def unusable(signing: Signing, at: datetime) -> Unusable | None:
    """Why ``signing`` cannot sign at this time, or None. Reads both files; nothing is signed."""
    try:
        _look_at(signing, at)
    except _CannotBeUsed as why:
        return why.fault
    return None


def _look_at(signing: Signing, at: datetime) -> None:
    if find_spec("pyhanko") is None:
        right = (
            "Install it (README, Signed reports), or unset both settings to make reports without a signature."
        )
        raise _CannotBeUsed("program", "A key for signing is set, but pyHanko is not installed.", right)
    key, certificate = _key_in(signing.key), _certificate_in(signing.certificate)
    name = signing.certificate.name
    if not certificate.not_valid_before_utc <= at <= certificate.not_valid_after_utc:
        days = f"{certificate.not_valid_before_utc:%Y-%m-%d} to {certificate.not_valid_after_utc:%Y-%m-%d}"
        right = "Write the name of a certificate that is valid today."
        raise _CannotBeUsed("certificate", f"{name} is valid from {days}, not today.", right)
    if _bytes_of(key.public_key()) != _bytes_of(certificate.public_key()):
        right = "Put the certificate of this very key first in the file, those that vouch for it after it."
        raise _CannotBeUsed("certificate", f"{name} does not belong to the key {signing.key.name}.", right)


def _key_in(path: Path) -> "PrivateKeyTypes":
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    right = "Write the name of a private key in PEM without a password, readable by whoever runs this."
    try:
        return load_pem_private_key(path.read_bytes(), None)
    except OSError as fault:
        raise _CannotBeUsed("key", f"{path.name} cannot be read: {fault.strerror}.", right) from None
    except TypeError:
        raise _CannotBeUsed("key", f"{path.name} is locked with a password.", right) from None
    except (ValueError, UnsupportedAlgorithm):
        raise _CannotBeUsed("key", f"{path.name} is no private key in PEM.", right) from None


def _certificate_in(path: Path) -> "Certificate":
    """The first one of the file: the company's own."""
    from cryptography.x509 import load_pem_x509_certificates

    right = "Write the name of a certificate in PEM, the company's own first."
    try:
        return load_pem_x509_certificates(path.read_bytes())[0]
    except OSError as fault:
        raise _CannotBeUsed("certificate", f"{path.name} cannot be read: {fault.strerror}.", right) from None
    except ValueError:
        raise _CannotBeUsed("certificate", f"{path.name} is no certificate in PEM.", right) from None


def _bytes_of(key: "PublicKeyTypes") -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

    return key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)


def signed(pdf: bytes, signing: Signing) -> bytes:
    """``pdf`` with an invisible signature of the whole file appended (PAdES baseline, ETSI EN 319 142-1).

    Raises PaperError where pyHanko is missing, or key or certificate cannot be used now.
    """
    if fault := unusable(signing, timezone.now()):
        raise PaperError(f"The report cannot be signed. {fault.what} {fault.right}")
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign import PdfSignatureMetadata, fields, sign_pdf, signers

    signer = signers.SimpleSigner.load(str(signing.key), str(signing.certificate))
    if signer is None:
        raise PaperError(f"the key {signing.key.name} and its certificate cannot be used for signing")
    metadata = PdfSignatureMetadata(field_name=FIELD, subfilter=fields.SigSeedSubFilter.PADES)
    written: BytesIO = sign_pdf(IncrementalPdfFileWriter(BytesIO(pdf)), metadata, signer)
    content = written.getvalue()
    if not content.startswith(pdf):
        raise PaperError("signing altered the bytes of the file before the signature")
    return content

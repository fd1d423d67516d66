"""A company's signature on a finished PDF: appended, so that every byte before it stays what it was.

Only where a key is set. The signature says who gave the file out; it is different each time, so what can be made
again byte for byte is the file before it. It needs pyHanko, which nothing else here does: it is loaded only then.
"""

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from coordination.paper.ordering import PaperError

FIELD = "CompanySignature"


@dataclass(frozen=True)
class Signing:
    """Files in PEM: the private key without a password, and the certificate with those that vouch for it after it."""

    key: Path
    certificate: Path


def signed(pdf: bytes, signing: Signing) -> bytes:
    """``pdf`` with an invisible signature of the whole file appended (PAdES baseline, ETSI EN 319 142-1).

    Raises PaperError where pyHanko is missing or the key cannot be used.
    """
    try:
        from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
        from pyhanko.sign import PdfSignatureMetadata, fields, sign_pdf, signers
    except ImportError as error:
        raise PaperError(
            "a key for signing is set, but pyHanko is not installed; see README, Signed reports"
        ) from error
    signer = signers.SimpleSigner.load(str(signing.key), str(signing.certificate))
    if signer is None:
        raise PaperError(f"the key {signing.key.name} and its certificate cannot be used for signing")
    metadata = PdfSignatureMetadata(field_name=FIELD, subfilter=fields.SigSeedSubFilter.PADES)
    written: BytesIO = sign_pdf(IncrementalPdfFileWriter(BytesIO(pdf)), metadata, signer)
    content = written.getvalue()
    if not content.startswith(pdf):
        raise PaperError("signing altered the bytes of the file before the signature")
    return content

"""A self-made certificate to sign with, in PEM files, as a company would have one."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.x509.oid import NameOID


def made_in(folder: Path, *, over: bool = False, password: bytes = b"") -> tuple[Path, Path]:
    """Key and certificate of a company that vouches for itself; ``over``: valid until a year ago."""
    key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Low Rise Lift Supply")])
    now = datetime.now(UTC) - timedelta(days=400 if over else 0)
    lock = serialization.BestAvailableEncryption(password) if password else serialization.NoEncryption()
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=30))
        .add_extension(
            x509.KeyUsage(True, True, False, False, False, False, False, False, False), critical=True
        )
        .sign(key, hashes.SHA256())
    )
    files = folder / "key.pem", folder / "certificate.pem"
    files[0].write_bytes(
        key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, lock)
    )
    files[1].write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    return files

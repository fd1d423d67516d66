"""The limits that are written down are those that are used."""

from pathlib import Path

import pytest

from coordination.evidence.hinting import LONG_AGO
from coordination.evidence.whereabouts import FAR_OVER
from coordination.files.alike import HALF_UP_TO
from coordination.files.images import ALIKE_UP_TO
from coordination.files.images.hints import BLURRED_UNDER, DARK_UNDER, LIGHT_PIXELS, SHORT_SIDE_UNDER

TOLD = (Path(__file__).resolve().parents[2] / "docs" / "photo-hints.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "words",
    [
        f"sharpness under {BLURRED_UNDER:g} per mille",
        f"mean grey under {DARK_UNDER:g} of 255",
        f"shorter side under {SHORT_SIDE_UNDER} pixels",
        f"more than {LONG_AGO.days} days between",
        f"over {FAR_OVER / 1000:g} km from the site",
        f"at most {ALIKE_UP_TO} of 64 bits",
        f"at most {LIGHT_PIXELS // 1_000_000} megapixels",
    ],
)
def test_the_document_names_the_limit(words: str) -> None:
    assert words in TOLD


def test_the_bands_prove_the_limit() -> None:
    """A pair within the limit has a half within its limit, and not both bands of that half differ twice."""
    assert ALIKE_UP_TO < 2 * (HALF_UP_TO + 1)
    assert HALF_UP_TO < 2 * 2
